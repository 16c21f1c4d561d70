package pdf

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strconv"
)

// withoutScaling adds to a finished PDF that viewers are not to scale it when
// printing: /PrintScaling /None in the viewer preferences, which the library
// cannot write. It is an incremental update (ISO 32000-1:2008, 7.5.6 and
// 12.2): the catalog is written once more at the end, with a cross-reference
// section of its own.
func withoutScaling(file []byte) ([]byte, error) {
	root, err := lastNumber(file, rootRef)
	if err != nil {
		return nil, err
	}
	size, err := lastNumber(file, sizeEntry)
	if err != nil {
		return nil, err
	}
	info, err := lastNumber(file, infoRef)
	if err != nil {
		return nil, err
	}
	previous, err := lastNumber(file, startXref)
	if err != nil {
		return nil, err
	}
	dict, err := objectDict(file, root)
	if err != nil {
		return nil, err
	}
	out := bytes.NewBuffer(bytes.TrimRight(file, "\n"))
	out.WriteByte('\n')
	at := out.Len()
	fmt.Fprintf(out, "%d 0 obj\n<<%s/Version /1.6\n/ViewerPreferences <</PrintScaling /None>>\n>>\nendobj\n", root, dict)
	xref := out.Len()
	fmt.Fprintf(out, "xref\n%d 1\n%010d 00000 n \n", root, at)
	fmt.Fprintf(out, "trailer\n<<\n/Size %d\n/Root %d 0 R\n/Info %d 0 R\n/Prev %d\n>>\nstartxref\n%d\n%%%%EOF\n",
		size, root, info, previous, xref)
	return out.Bytes(), nil
}

var (
	rootRef   = regexp.MustCompile(`/Root (\d+) 0 R`)
	sizeEntry = regexp.MustCompile(`/Size (\d+)\n`)
	infoRef   = regexp.MustCompile(`/Info (\d+) 0 R`)
	startXref = regexp.MustCompile(`startxref\n(\d+)\n`)
)

// lastNumber returns the number that an expression finds last in the trailer.
func lastNumber(file []byte, what *regexp.Regexp) (int, error) {
	from := bytes.LastIndex(file, []byte("\ntrailer\n"))
	if from < 0 {
		return 0, errors.New("it has no trailer")
	}
	found := what.FindSubmatch(file[from:])
	if found == nil {
		return 0, fmt.Errorf("its trailer has no %v", what)
	}
	return strconv.Atoi(string(found[1]))
}

// objectDict returns what stands between the outer << and >> of an object.
func objectDict(file []byte, number int) ([]byte, error) {
	head := fmt.Appendf(nil, "\n%d 0 obj\n<<", number)
	from := bytes.LastIndex(file, head)
	if from < 0 {
		return nil, fmt.Errorf("object %d is missing", number)
	}
	body := file[from+len(head):]
	end := bytes.Index(body, []byte(">>\nendobj"))
	if end < 0 {
		return nil, fmt.Errorf("object %d does not end", number)
	}
	return body[:end], nil
}
