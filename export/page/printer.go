package page

import (
	"fmt"
)

// Printer is what a printer makes of a length: printed over drawn, along the
// paper's shorter side and along its longer. 0 means 1, a true printer. Paper is
// drawn through rollers, so the two differ by a few parts in a thousand (common
// practice, no source).
type Printer struct{ Short, Long float64 }

// mostPrinterPart is how far from 1 a printer is believed to be; more is a print
// that was fitted to the page.
const mostPrinterPart = 0.03

// True reports whether nothing needs to be corrected.
func (p Printer) True() bool { return p.short() == 1 && p.long() == 1 }

func (p Printer) short() float64 { return orOne(p.Short) }
func (p Printer) long() float64  { return orOne(p.Long) }

func orOne(v float64) float64 {
	if v == 0 {
		return 1
	}
	return v
}

func (p Printer) check() error {
	for _, v := range []float64{p.short(), p.long()} {
		if !(v > 1-mostPrinterPart && v < 1+mostPrinterPart) {
			return fmt.Errorf("the printed square measures %.1f mm × %.1f mm instead of 100 mm × 100 mm; that is no printer's error but a print fitted to the page: print at 100 %% and measure again", 100*p.short(), 100*p.long())
		}
	}
	return nil
}

// PrinterOf is the printer on which the 100 mm square of the cover, printed
// without correction, measures so much, like "99.6x100.1mm": along the paper's
// shorter side, then along its longer.
func PrinterOf(measured string) (Printer, error) {
	short, long, ok := twoSides(measured)
	if !ok {
		return Printer{}, fmt.Errorf("%q is not the size of a printed square; give both sides in mm, like 99.6x100.1", measured)
	}
	p := Printer{Short: short / 100, Long: long / 100}
	return p, p.check()
}

// Sheet is the paper in true millimetres, as many of the drawing's as fit on
// it.
func (p Printer) Sheet(paper Paper) Paper {
	if paper.WidthMM <= paper.HeightMM {
		paper.WidthMM, paper.HeightMM = paper.WidthMM*p.short(), paper.HeightMM*p.long()
	} else {
		paper.WidthMM, paper.HeightMM = paper.WidthMM*p.long(), paper.HeightMM*p.short()
	}
	return paper
}

// Scale returns by how much a page of the given true size, as it lies, must be
// drawn larger across and down for this printer.
func (p Printer) Scale(widthMM, heightMM float64) (x, y float64) {
	if widthMM <= heightMM {
		return 1 / p.short(), 1 / p.long()
	}
	return 1 / p.long(), 1 / p.short()
}
