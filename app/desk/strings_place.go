package desk

// placeWords is every text about where a file goes.
type placeWords struct {
	replace, replacesAll, named         string
	folderThere, noFileThere, protected string
}

func englishPlace() placeWords {
	return placeWords{
		replace: "Replace", replacesAll: "There are files of these names: %s. They will be replaced.", named: "It will be saved as %s.",
		folderThere: "%s is a folder, which no file can replace. Type another name.",
		noFileThere: "%s is no ordinary file and stays as it is. Type another name.",
		protected:   "%s is protected against writing and stays as it is. Type another name, or lift its protection first.",
	}
}
