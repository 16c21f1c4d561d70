package scene

import (
	"strings"

	"flatwright/rectify/mat"
)

// glyphs is a tiny stroke alphabet of our own on a grid 4 wide and 6 high, y
// down: strokes are separated by blanks, each point is two digits x, y.
var glyphs = map[rune]string{
	'A': "062046 1434", 'B': "0006 003041423303 3344453606", 'C': "4130100105163645",
	'D': "000626444220 0020", 'E': "40000646 0333", 'F': "400006 0333",
	'G': "41301001051636454323", 'H': "0006 4046 0343", 'I': "2026", 'J': "404536160504",
	'K': "0006 400346", 'L': "000646", 'M': "0600244046", 'N': "06004640",
	'O': "100105163645413010", 'P': "06003041423303", 'Q': "100105163645413010 2446",
	'R': "06003041423303 2346", 'S': "41301001023344453616 1605", 'T': "0040 2026",
	'U': "0005163645 4540", 'V': "002640", 'W': "0016233640", 'X': "0046 4006",
	'Y': "002340 2326", 'Z': "00400646",
	'0': "100105163645413010", '1': "112026", '2': "0110304142064646", '3': "0040234445361605",
	'4': "36300444", '5': "4000023344453605", '6': "30010516364534130304", '7': "004016",
	'8': "103041423313020110 130405163645443313", '9': "4233130201103041453616",
	'-': "0343", '.': "2526", '/': "4006", '+': "0343 2125",
}

// strokesOf writes a text with the stroke alphabet, its top left at the
// origin, one letter heightMM high.
func strokesOf(text string, heightMM float64) [][]mat.Point {
	var out [][]mat.Point
	unit := heightMM / 6
	x := 0.0
	for _, r := range strings.ToUpper(text) {
		for _, s := range strings.Fields(glyphs[r]) {
			var line []mat.Point
			for i := 0; i+1 < len(s); i += 2 {
				line = append(line, mat.Point{
					X: (x + float64(s[i]-'0')) * unit, Y: float64(s[i+1]-'0') * unit,
				})
			}
			out = append(out, line)
		}
		x += 5.6
	}
	return out
}

// textWidthMM is how wide strokesOf writes a text.
func textWidthMM(text string, heightMM float64) float64 {
	return (float64(len([]rune(text)))*5.6 - 1.6) * heightMM / 6
}
