package scheduler

import (
	"math"

	"limbround/geo"
)

// The lengths of a temporary traffic control zone as they are published, for a
// crew to hold its traffic plan against. They are not a plan: the authority of
// the road decides.
//
// Tapers: with the width W that is closed in feet and the speed S in miles per
// hour, L = W S²/60 up to 40 mph and L = W S from 45 mph on (California MUTCD
// 2012, Table 6H-4(CA)). The wording leaves 41 to 44 mph open; here the longer
// of the two holds there. A merging taper, which closes a lane, takes L; a
// shifting taper, which moves traffic sideways, a half; a shoulder taper, which
// closes a shoulder or a parking lane, a third; each to the nearest foot.
//
// Buffer: the stopping sight distance (geo.StoppingSight; TxDOT Roadway Design
// Manual, 4.11.1). That the MUTCD's buffer table is this distance is from memory.
//
// Advance signs A, B and C: California MUTCD 2014, Table 6H-3. Devices: at most
// one foot apart for each mile per hour in a taper (MUTCD 6C.08, as quoted), two
// in the straight part. One-lane taper for traffic in turn: 50 to 100 ft, devices
// about 20 ft apart (MUTCD 6C.08, as quoted).

// WorkZone holds the published lengths for one speed and width.
type WorkZone struct {
	MPH    int
	Offset geo.Length // width of the lane, shoulder or parking lane that is closed

	Merging    geo.Length
	Shifting   geo.Length
	Shoulder   geo.Length
	OneLane    [2]geo.Length // from, to
	Downstream [2]geo.Length // usual, at most
	Buffer     geo.Length

	Signs      [3]geo.Length // A nearest to the zone, then B, C, on an urban street
	RuralSigns [3]geo.Length
	InTaper    geo.Length // between devices, at most
	InTangent  geo.Length
	InOneLane  geo.Length // about

	LongerRule bool // the speed lies where the publication has no rule
	OffTable   bool // the speed lies outside the published rows of 20 to 70 mph
}

// LaneWidth is the width that the published taper table is made for.
const LaneWidth = 3658 * geo.Millimetre // 12 ft

// Sources of the figures, for print.
const (
	TaperSource   = "California MUTCD 2012, Table 6H-4(CA)"
	SignSource    = "California MUTCD 2014, Table 6H-3"
	BufferSource  = "stopping sight distance (TxDOT Roadway Design Manual 4.11.1; that it is the buffer, from memory)"
	SpacingSource = "MUTCD 6C.08, as quoted"
)

// NewWorkZone gives the lengths for a speed and the width that is closed; false
// without a speed or a width.
func NewWorkZone(mph int, offset geo.Length) (WorkZone, bool) {
	if mph <= 0 || offset <= 0 {
		return WorkZone{}, false
	}
	s := float64(mph)
	w := math.Round(offset.Feet()*100) / 100 // a width in feet survives its millimetres
	taper := w * s * s / 60
	if mph > 40 {
		taper = w * s
	}
	z := WorkZone{
		MPH: mph, Offset: offset,
		Merging: wholeFeet(taper), Shifting: wholeFeet(taper / 2), Shoulder: wholeFeet(taper / 3),
		OneLane:    [2]geo.Length{geo.Feet(50), geo.Feet(100)},
		Downstream: [2]geo.Length{geo.Feet(50), geo.Feet(100)},
		Buffer:     geo.StoppingSight(mph),
		Signs:      alike(350), RuralSigns: alike(500),
		InTaper: geo.Feet(s), InTangent: geo.Feet(2 * s), InOneLane: geo.Feet(20),
		LongerRule: mph > 40 && mph < 45,
		OffTable:   mph < 20 || mph > 70,
	}
	switch {
	case mph <= 25:
		z.Signs = alike(100)
	case mph <= 40:
		z.Signs = alike(250)
	}
	return z, true
}

// PostedMPH is a recorded speed in miles per hour. Limits are posted in fives
// and recorded in whole km/h, so the nearest five is taken where no other speed
// is nearer; what was posted in km/h goes up to the next whole mile per hour.
func PostedMPH(kmh int) int {
	mph := float64(kmh) / 1.609344
	if five := 5 * math.Round(mph/5); math.Abs(mph-five) < 0.35 {
		return int(five)
	}
	return int(math.Ceil(mph))
}

// wholeFeet rounds half a foot up, as the table is printed.
func wholeFeet(ft float64) geo.Length { return geo.Feet(math.Floor(ft + 0.5 + 1e-9)) }

func alike(ft float64) [3]geo.Length { return [3]geo.Length{geo.Feet(ft), geo.Feet(ft), geo.Feet(ft)} }
