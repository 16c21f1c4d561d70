package desk

// keepWords is every text about keeping work.
type keepWords struct {
	began, opening, saving, saved, resumed, missing string
	saveAs, again, asBefore, notAgain, noFurther    string
	look, openHere, keptIn, keptNowhere             string
	head, what, recent, openProject                 string
	where, folder, replaces, save, cancel, noName   string
	another, openAsNew                              string
	closeBody, closeSave                            string
	hints                                           [3]string
	hintNext, hintEnough, hintCount                 string
}

func englishKeep() keepWords {
	return keepWords{
		began: "photograph opened", opening: "Opening the project", saving: "Saving the project", saved: "The project is saved in %s.",
		resumed: "%s is open as it was left; undo reaches back over closing.",
		missing: "The project is damaged: %s. The file is left as it is; save what is here under another name.",
		saveAs:  "Save the project as…", again: "Try again", asBefore: "Squaring up as before",
		notAgain:  "The photograph could not be squared up as before: %s. The pieces are as they were.",
		noFurther: "Undo reaches no further: %s.", look: "Open it to look at", openHere: "That project is open here already.",
		keptIn: "Every change is kept in %s as you make it.", keptNowhere: "Only in memory: save the project before you close.",
		head: "Project", what: "A project holds the photographs, the pattern and every step of undo.",
		recent: "Go on with", openProject: "Open a project…",
		where: "File", folder: "Another folder…", replaces: "There is a file of that name. It will be replaced.", save: "Save", cancel: "Cancel",
		noName:  "Type a name for the file.",
		another: "The work on %s is kept. Begin a new project with this photograph, or add it to this pattern?", openAsNew: "New project",
		closeBody: "This work is only in memory and would be lost: %s.", closeSave: "Save it first",
		hints: [3]string{
			"This is a practice photograph: tape pieces on a mat. It is being squared up and traced. Then click an edge, or press Tab for one after the other; then B for a bevel, 1 to 4 for its angle.",
			"The six steps on the left say what is done and what needs you. Press V for the pieces as they will be cut, true to scale; the wheel zooms to the pointer.",
			"Everything can be undone (Ctrl+Z) and is kept as you go. When the cuts are right, take step 6, Print. The question mark shows every key.",
		},
		hintNext: "Next hint", hintEnough: "No more hints", hintCount: "%d of %d",
	}
}
