package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// closeSource: Neely measured the width of wound that closes in one growing
// season, by growth. That a wound of twice the width takes twice the seasons is
// this project's extrapolation, and not published; larger wounds close at a
// greater rate but in a longer time.
const closeSource = "one-season widths Neely 1979, J. Arboric. 5(6):135-140; more seasons by straight extrapolation, which is not published"

// oneSeason are the widths that close in one growing season, in sixteenths of
// an inch: substantial, moderate and modest diameter growth.
var oneSeason = [...]float64{11, 8, 6}

// seasonsToClose is the range of growing seasons in which a cut of the width
// closes: from the vigour's own class to the next lower one. A poor crown has
// no upper end; a vigour that nobody recorded takes the whole range.
func seasonsToClose(width geo.Length, v scheduler.Vigour) Seasons {
	seasons := func(class int) int {
		n := int(width.Inches() * 16 / oneSeason[class])
		if geo.Inches(float64(n)*oneSeason[class]/16) < width {
			n++
		}
		return max(n, 1)
	}
	switch v {
	case scheduler.VigourGood:
		return Seasons{seasons(0), seasons(1)}
	case scheduler.VigourFair:
		return Seasons{seasons(1), seasons(2)}
	case scheduler.VigourPoor:
		return Seasons{From: seasons(2)}
	}
	return Seasons{seasons(0), seasons(2)}
}
