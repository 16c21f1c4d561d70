package dxf

import (
	"bytes"
	"fmt"
	"strings"
)

// Handles of the tables and records that AC1015 wants; those of entities begin
// at firstHandle.
const (
	handleModelRecord = "1F"
	handlePaperRecord = "1B"
	handleDictionary  = "C"
	handleGroups      = "D"
	firstHandle       = 0x200
)

// wrap writes the drawing round its entities.
func (d *drawing) wrap(out *bytes.Buffer) {
	var t tags
	d.header(&t)
	if d.form != R12 {
		section(&t, "CLASSES", func() {})
	}
	section(&t, "TABLES", func() { d.tables(&t) })
	section(&t, "BLOCKS", func() {
		if d.form != R12 {
			block(&t, "*Model_Space", "20", "21", handleModelRecord, false)
			block(&t, "*Paper_Space", "1C", "1D", handlePaperRecord, true)
		}
	})
	section(&t, "ENTITIES", func() { t.WriteString(d.String()) })
	if d.form != R12 {
		section(&t, "OBJECTS", func() { objects(&t) })
	}
	t.put(0, "EOF")
	out.WriteString(t.String())
}

func section(t *tags, name string, inside func()) {
	t.put(0, "SECTION")
	t.put(2, name)
	inside()
	t.put(0, "ENDSEC")
}

// header gives the version, the units and the drawing's size.
func (d *drawing) header(t *tags) {
	variable := func(name string, write func()) {
		t.put(9, name)
		write()
	}
	section(t, "HEADER", func() {
		version := "AC1015"
		if d.form == R12 {
			version = "AC1009"
		}
		variable("$ACADVER", func() { t.put(1, version) })
		variable("$EXTMIN", func() { t.putPoint(10, 0, 0) })
		variable("$EXTMAX", func() { t.putPoint(10, d.width, d.height) })
		if d.form == R12 {
			return // it knows of no units
		}
		variable("$DWGCODEPAGE", func() { t.put(3, "ANSI_1252") })
		variable("$HANDSEED", func() { t.put(5, fmt.Sprintf("%X", firstHandle+d.handles+1)) })
		const millimetres, metric = 4, 1
		variable("$INSUNITS", func() { t.putInt(70, millimetres) })
		variable("$MEASUREMENT", func() { t.putInt(70, metric) })
	})
}

// table writes one table; each record gets a handle from the given first on.
func (d *drawing) table(t *tags, name string, handle int, records ...func(handle string)) {
	t.put(0, "TABLE")
	t.put(2, name)
	if d.form != R12 {
		t.put(5, fmt.Sprintf("%X", handle))
		t.put(330, "0")
		t.put(100, "AcDbSymbolTable")
	}
	t.putInt(70, len(records))
	if d.form != R12 && name == "DIMSTYLE" {
		t.put(100, "AcDbDimStyleTable")
	}
	for k, r := range records {
		r(fmt.Sprintf("%X", handle+1+k))
	}
	t.put(0, "ENDTAB")
}

// record begins a record of a table.
func (d *drawing) record(t *tags, kind, handle string, table int, class string) {
	t.put(0, kind)
	if d.form == R12 {
		return
	}
	t.put(5, handle)
	t.put(330, fmt.Sprintf("%X", table))
	t.put(100, "AcDbSymbolTableRecord")
	t.put(100, class)
}

// Handles of the tables; their records follow.
const (
	tableVPort    = 0x100
	tableLineType = 0x110
	tableLayer    = 0x130
	tableStyle    = 0x150
	tableView     = 0x160
	tableUCS      = 0x168
	tableAppID    = 0x170
	tableDim      = 0x178
	tableBlocks   = 0x180
)

func (d *drawing) tables(t *tags) {
	if d.form != R12 {
		d.table(t, "VPORT", tableVPort)
	}
	d.table(t, "LTYPE", tableLineType, d.lineTypes(t)...)
	d.table(t, "LAYER", tableLayer, d.layerRecords(t)...)
	d.table(t, "STYLE", tableStyle, func(h string) {
		d.record(t, "STYLE", h, tableStyle, "AcDbTextStyleTableRecord")
		t.put(2, "STANDARD")
		t.putInt(70, 0)
		t.putMM(40, 0)
		t.putMM(41, 1)
		t.putMM(50, 0)
		t.putInt(71, 0)
		t.putMM(42, 2.5)
		t.put(3, "txt")
		t.put(4, "")
	})
	if d.form == R12 {
		return
	}
	d.table(t, "VIEW", tableView)
	d.table(t, "UCS", tableUCS)
	d.table(t, "APPID", tableAppID, func(h string) {
		d.record(t, "APPID", h, tableAppID, "AcDbRegAppTableRecord")
		t.put(2, "ACAD")
		t.putInt(70, 0)
	})
	d.table(t, "DIMSTYLE", tableDim)
	blockRecord := func(name, handle string) func(string) {
		return func(string) {
			d.record(t, "BLOCK_RECORD", handle, tableBlocks, "AcDbBlockTableRecord")
			t.put(2, name)
		}
	}
	d.table(t, "BLOCK_RECORD", tableBlocks, blockRecord("*Model_Space", handleModelRecord), blockRecord("*Paper_Space", handlePaperRecord))
}

// lineTypes are those that AC1015 wants, and one for every layer that is
// dashed, named after it.
func (d *drawing) lineTypes(t *tags) (out []func(string)) {
	add := func(name, text string, dashes []float64) {
		out = append(out, func(h string) {
			d.record(t, "LTYPE", h, tableLineType, "AcDbLinetypeTableRecord")
			t.put(2, name)
			t.putInt(70, 0)
			t.put(3, text)
			t.putInt(72, 65)
			t.putInt(73, len(dashes))
			sum := 0.0
			for _, v := range dashes {
				sum += v
			}
			t.putMM(40, sum)
			for k, v := range dashes {
				if k%2 == 1 {
					v = -v
				}
				t.putMM(49, v)
				if d.form != R12 {
					t.putInt(74, 0)
				}
			}
		})
	}
	if d.form != R12 {
		add("ByBlock", "", nil)
		add("ByLayer", "", nil)
	}
	add("CONTINUOUS", "Solid line", nil)
	for _, l := range layers() {
		if dashes := l.style.DashMM(); len(dashes) > 0 {
			add(l.name, "", dashes)
		}
	}
	return out
}

func (d *drawing) layerRecords(t *tags) (out []func(string)) {
	add := func(name, lineType string, colour int) {
		out = append(out, func(h string) {
			d.record(t, "LAYER", h, tableLayer, "AcDbLayerTableRecord")
			t.put(2, name)
			t.putInt(70, 0)
			t.putInt(62, colour)
			t.put(6, lineType)
		})
	}
	add("0", "CONTINUOUS", 7)
	for _, l := range layers() {
		lineType := "CONTINUOUS"
		if len(l.style.DashMM()) > 0 {
			lineType = l.name
		}
		add(l.name, lineType, l.colour)
	}
	return out
}

// block is an empty block: the space that entities stand in.
func block(t *tags, name, begin, end, owner string, paper bool) {
	entity := func(kind, handle, class string) {
		t.put(0, kind)
		t.put(5, handle)
		t.put(330, owner)
		t.put(100, "AcDbEntity")
		if paper {
			t.putInt(67, 1)
		}
		t.put(8, "0")
		t.put(100, class)
	}
	entity("BLOCK", begin, "AcDbBlockBegin")
	t.put(2, name)
	t.putInt(70, 0)
	t.putPoint(10, 0, 0)
	t.put(3, name)
	t.put(1, "")
	entity("ENDBLK", end, "AcDbBlockEnd")
}

// objects is the least dictionary that AC1015 wants.
func objects(t *tags) {
	dictionary := func(handle, owner string, entries ...string) {
		t.put(0, "DICTIONARY")
		t.put(5, handle)
		t.put(330, owner)
		t.put(100, "AcDbDictionary")
		t.putInt(281, 1)
		for _, e := range entries {
			name, h, _ := strings.Cut(e, "=")
			t.put(3, name)
			t.put(350, h)
		}
	}
	dictionary(handleDictionary, "0", "ACAD_GROUP="+handleGroups)
	dictionary(handleGroups, handleDictionary)
}
