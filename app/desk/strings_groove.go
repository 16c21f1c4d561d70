package desk

// grooveWords is every text about runs of grooves.
type grooveWords struct {
	head, what, radius, bend, over, web, stray string
	set, change, drop                          string
	gives, notYet, count, bad, bendHint        string
	radiusHint, overHint                       bySystem
}

func englishGroove() grooveWords {
	return grooveWords{
		head:   "Run of grooves",
		what:   "V-grooves cut from the back, side by side, bend the sheet round. Type the radius of the face that is not cut, or the bend, and the length over which it bends.",
		radius: "Radius", bend: "or bend", over: "Over", web: "Leave uncut", stray: "May stray",
		set: "Set the grooves", change: "Set them anew", drop: "Take them out",
		gives:  "%d grooves, %s apart, %s deep, %s wide; each bends %s, %s either side of square; %s in all.",
		notYet: "Type a radius or a bend.", count: "%d grooves",
		radiusHint: bySystem{"80 mm", "3 in"}, bendHint: "90", overHint: bySystem{"100 mm", "4 in"},
		bad: "%q is not a length or an angle. Type lengths like 80 mm or 3 in and bends like 90.",
	}
}
