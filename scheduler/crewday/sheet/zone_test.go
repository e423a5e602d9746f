package sheet

import (
	"bytes"
	"strings"
	"testing"

	"limbround/scheduler"
)

// round is a packet of stops on four block faces.
func round(units string) Packet {
	p := crabapple()
	p.City.Units = units
	base := p.Cards[0]
	p.Cards = nil
	stop := func(seq int, face int64, address string, kind scheduler.WorkKind, class scheduler.StreetClass, kmh int) {
		c := base
		c.Stop.Seq, c.Visit.Kind, c.Visit.Kinds = seq, kind, []scheduler.WorkKind{kind}
		c.Site.FaceID, c.Site.Address, c.Site.StreetClass, c.Site.SpeedKmh, c.Site.BusRoute = face, address, class, kmh, false
		p.Cards = append(p.Cards, c)
	}
	stop(1, 1, "12 Mill Lane", scheduler.Training, scheduler.Residential, 40) // from the walk
	stop(2, 2, "5 Long Road", scheduler.RoadClearance, scheduler.Arterial, 70)
	stop(3, 2, "7 Long Road", scheduler.Training, scheduler.Arterial, 70)
	stop(4, 2, "9 Long Road", scheduler.RoadClearance, scheduler.Arterial, 70)
	stop(5, 3, "Weir <Street>", scheduler.RotationPrune, scheduler.Collector, 0)
	stop(6, 1, "14 Mill Lane", scheduler.Removal, scheduler.Residential, 16)
	stop(7, 2, "11 Long Road", scheduler.RoadClearance, scheduler.Arterial, 70)
	stop(8, 0, "Foundry Park", scheduler.Removal, "", 0) // no street near
	return p
}

func TestZonesAreBlockFacesInTheRoad(t *testing.T) {
	p := round("us")
	var got []string
	for _, z := range zones(&p, units{true}) {
		got = append(got, strings.Join([]string{z.Stops, z.Street, z.Lanes, z.Speed}, "|"))
	}
	want := "2 to 4, 7|Long Road|arterial|44 mph\n5|Weir <Street>|collector|\n6|Mill Lane|residential|10 mph"
	if s := strings.Join(got, "\n"); s != want {
		t.Errorf("zones\n%s\nwant\n%s", s, want)
	}
}

func TestZonesSayWhatTheyAreNot(t *testing.T) {
	for _, tc := range []struct {
		units string
		want  []string
	}{
		{"us", []string{"44 mph", "528 ft", "350 ft each", "44 ft / 88 ft", "for a width of 12 ft", "rural character: 500 ft each"}},
		{"metric", []string{"70 km/h", "161 m", "107 m each", "13 m / 26 m", "for a width of 3.66 m", "rural character: 153 m each"}},
	} {
		var b bytes.Buffer
		if err := Render(&b, round(tc.units)); err != nil {
			t.Fatal(err)
		}
		page := b.String()
		for _, text := range append(tc.want, "The traffic plan of the road authority comes first.", "they are not a plan",
			"no rule for tapers: the longer one is printed", "outside them the figures follow from their formulas alone",
			"speed not recorded: no figures", "Weir &lt;Street&gt;", scheduler.TaperSource, scheduler.SignSource) {
			if !strings.Contains(page, text) {
				t.Errorf("%s: %q is not on the page", tc.units, text)
			}
		}
	}
}

func TestNoZonesNoFigures(t *testing.T) {
	p := crabapple()
	p.Cards[0].Site.StreetClass = ""
	var b bytes.Buffer
	if err := Render(&b, p); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "Work zones") {
		t.Error("work zones on a packet that leaves every lane open")
	}
}
