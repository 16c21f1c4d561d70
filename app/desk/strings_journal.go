package desk

// journalWords is every text of what happened, and of pasting.
type journalWords struct {
	show, head, what, copy, copied       string
	began, ended, failed, stopped, fit   string
	pieces, nothing                      string
	fetching, pasteNone, pasteNoHelper   string
	pasteTooBig, pasteTooSlow, pasteFile string
}

func englishJournal() journalWords {
	return journalWords{
		show: "What happened", head: "What happened", copy: "Copy", copied: "Copied",
		what:  "The last things that happened, for a report when something goes wrong. It names files, but no folders.",
		began: "%s begun", ended: "%s ended after %.1f s", failed: "%s failed after %.1f s: %v", stopped: "%s stopped",
		fit:    "%s squared up: lines met to %.2f px, ± %s, pitch %s",
		pieces: "%d pieces traced", nothing: "Nothing yet.",
		fetching:      "Taking the picture from the clipboard…",
		pasteNone:     "There is no picture and no picture's file on the clipboard. Copy one, or drop its file on the window.",
		pasteNoHelper: "A picture itself cannot be read from the clipboard here, because neither wl-paste nor xclip is installed. Save it as a file and drop that on the window.",
		pasteTooBig:   "The picture on the clipboard is larger than %d MB. Save it as a file and drop that on the window.",
		pasteTooSlow:  "The program that holds the clipboard did not hand its picture over in time. Copy the picture again, or save it as a file and drop that on the window.",
		pasteFile:     "The pasted picture could not be put into a file: %v. Save it as a file and drop that on the window.",
	}
}
