package project

import "strings"

// selection is the statement that reads a table in order.
func (t table) selection() string {
	return "SELECT " + t.key + ", " + t.columns + " FROM " + t.name + " ORDER BY " + t.key
}

// insertion is the statement that writes a row as selection reads it.
func (t table) insertion() string {
	return "INSERT INTO " + t.name + " (" + t.key + ", " + t.columns + ") VALUES (?" + strings.Repeat(", ?", t.width()-1) + ")"
}

// width is the number of columns, the key's included.
func (t table) width() int { return 2 + strings.Count(t.columns, ",") }

// values returns room for a row, and pointers to it for Scan.
func (t table) values() (values, places []any) {
	values = make([]any, t.width())
	places = make([]any, len(values))
	for i := range values {
		places[i] = &values[i]
	}
	return values, places
}
