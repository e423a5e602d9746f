package sheet

import (
	"fmt"
	"math"

	"limbround/geo"
)

// units prints lengths the way the city's people read them.
type units struct{ us bool }

// height prints a height: feet and inches to the nearest inch, or metres to the centimetre.
func (u units) height(l geo.Length) string {
	switch {
	case !l.Known():
		return "not recorded"
	case u.us:
		in := int(math.Round(l.Inches()))
		if in%12 == 0 {
			return fmt.Sprintf("%d ft", in/12)
		}
		return fmt.Sprintf("%d ft %d in", in/12, in%12)
	default:
		return fmt.Sprintf("%.2f m", l.M())
	}
}

// width prints a stem or cut diameter: inches to the tenth with millimetres, or millimetres.
func (u units) width(l geo.Length) string {
	switch {
	case !l.Known() || l == 0:
		return "not recorded"
	case u.us:
		return fmt.Sprintf("%.1f in (%d mm)", l.Inches(), int32(l))
	default:
		return fmt.Sprintf("%d mm", int32(l))
	}
}

// clock prints minutes after midnight as HH:MM.
func clock(min int) string { return fmt.Sprintf("%02d:%02d", min/60%24, min%60) }
