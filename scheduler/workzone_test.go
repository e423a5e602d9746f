package scheduler

import (
	"math"
	"testing"

	"limbround/geo"
)

// Limits posted in miles per hour come back from whole km/h, whichever way
// those were rounded.
func TestPostedSpeedsComeBack(t *testing.T) {
	for mph := 5; mph <= 75; mph += 5 {
		kmh := float64(mph) * 1.609344
		if got := PostedMPH(int(math.Round(kmh))); got != mph {
			t.Errorf("%d mph as %.0f km/h is read as %d mph", mph, kmh, got)
		}
	}
	for kmh, want := range map[int]int{30: 19, 50: 32, 70: 44, 100: 63} { // posted in km/h: up, to the longer figures
		if got := PostedMPH(kmh); got != want {
			t.Errorf("%d km/h is read as %d mph, want %d", kmh, got, want)
		}
	}
}

func TestWorkZoneNeedsSpeedAndWidth(t *testing.T) {
	for _, c := range []struct {
		mph    int
		offset geo.Length
	}{{0, LaneWidth}, {-5, LaneWidth}, {30, 0}, {30, geo.None}} {
		if z, ok := NewWorkZone(c.mph, c.offset); ok || z != (WorkZone{}) {
			t.Errorf("%d mph, %s: %+v", c.mph, c.offset, z)
		}
	}
}

// No figure shrinks as the speed rises, and none but the signs stands still.
func TestWorkZoneGrowsWithSpeed(t *testing.T) {
	var last WorkZone
	for mph := 5; mph <= 80; mph++ {
		z, ok := NewWorkZone(mph, LaneWidth)
		if !ok {
			t.Fatalf("%d mph: refused", mph)
		}
		if z.Merging <= last.Merging || z.Shifting < last.Shifting || z.Shoulder < last.Shoulder || z.Buffer < last.Buffer ||
			z.Signs[0] < last.Signs[0] || z.InTaper <= last.InTaper || z.InTangent <= z.InTaper {
			t.Errorf("%d mph: %+v after %+v", mph, z, last)
		}
		if z.LongerRule != (mph >= 41 && mph <= 44) || z.OffTable != (mph < 20 || mph > 70) {
			t.Errorf("%d mph: notes %v %v", mph, z.LongerRule, z.OffTable)
		}
		last = z
	}
}
