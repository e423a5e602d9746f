package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"limbround/geo"
	"limbround/scheduler"
)

// zone is one stretch of the packet that stands in or beside a lane: the stops
// on one block face.
type zone struct {
	Stops  string // "1, 4 to 6"
	Street string
	Lanes  string // "arterial, bus route, parking lane"
	Speed  string // as the city reads it; empty when not recorded
	Figure scheduler.WorkZone
}

// zones groups the stops by block face, in the order in which the crew comes to them.
func zones(p *Packet, u units) []zone {
	type key struct {
		face, street int64
		side         scheduler.Side
	}
	var out []zone
	at := map[key]int{}
	stops := map[int][]int{}
	for i := range p.Cards {
		c := &p.Cards[i]
		if !c.Visit.InTheRoad(c.Site.StreetClass) {
			continue
		}
		k := key{c.Site.FaceID, c.Site.StreetID, c.Site.StreetSide}
		n, known := at[k]
		if !known {
			n = len(out)
			at[k] = n
			z := zone{Street: streetOf(c.Site.Address), Lanes: lanes(&c.Site)}
			if c.Site.SpeedKmh > 0 {
				z.Speed = u.speed(c.Site.SpeedKmh)
				z.Figure, _ = scheduler.NewWorkZone(scheduler.PostedMPH(c.Site.SpeedKmh), scheduler.LaneWidth)
			}
			out = append(out, z)
		}
		stops[n] = append(stops[n], c.Stop.Seq)
	}
	for i := range out {
		out[i].Stops = runs(stops[i])
	}
	return out
}

// streetOf is an address without its house number.
func streetOf(address string) string {
	if number, rest, ok := strings.Cut(address, " "); ok && strings.Trim(number, "0123456789") == "" {
		return rest
	}
	return address
}

func lanes(s *scheduler.Site) string {
	out := string(s.StreetClass)
	if s.BusRoute {
		out += ", bus route"
	}
	if s.Parking {
		out += ", parking lane"
	}
	return out
}

// runs prints rising numbers: "1, 4 to 6".
func runs(seq []int) string {
	var out []string
	for i := 0; i < len(seq); {
		j := i
		for j+1 < len(seq) && seq[j+1] == seq[j]+1 {
			j++
		}
		switch j {
		case i:
			out = append(out, strconv.Itoa(seq[i]))
		case i + 1:
			out = append(out, strconv.Itoa(seq[i]), strconv.Itoa(seq[j]))
		default:
			out = append(out, fmt.Sprintf("%d to %d", seq[i], seq[j]))
		}
		i = j + 1
	}
	return strings.Join(out, ", ")
}

// zoneNote says what the figures are for and where they come from.
func zoneNote(list []zone, u units) string {
	one, _ := scheduler.NewWorkZone(1, scheduler.LaneWidth) // the parts that no speed changes
	out := []string{fmt.Sprintf("Tapers for a width of %s.", u.height(one.Offset))}
	say := func(holds func(*scheduler.WorkZone) bool, text string) {
		for i := range list {
			if list[i].Speed != "" && holds(&list[i].Figure) {
				out = append(out, text)
				return
			}
		}
	}
	out = append(out, fmt.Sprintf("Traffic in turn through one lane: taper %s to %s, cones about %s apart, flaggers or signals. End of the zone: %s, at most %s.",
		u.run(one.OneLane[0]), u.run(one.OneLane[1]), u.gap(one.InOneLane), u.run(one.Downstream[0]), u.run(one.Downstream[1])))
	say(func(z *scheduler.WorkZone) bool { return z.LongerRule },
		"Between 40 and 45 mph the publication has no rule for tapers: the longer one is printed.")
	say(func(z *scheduler.WorkZone) bool { return z.OffTable },
		"The published tables run from 20 to 70 mph: outside them the figures follow from their formulas alone.")
	say(func(z *scheduler.WorkZone) bool { return z.MPH > 40 },
		fmt.Sprintf("Signs on a road of rural character: %s each.", u.run(one.RuralSigns[0])))
	out = append(out, fmt.Sprintf("Sources: tapers %s; buffer %s; signs %s; cones %s.",
		scheduler.TaperSource, scheduler.BufferSource, scheduler.SignSource, scheduler.SpacingSource))
	return strings.Join(out, " ")
}

// speed prints a recorded speed.
func (u units) speed(kmh int) string {
	if u.us {
		return fmt.Sprintf("%d mph", scheduler.PostedMPH(kmh))
	}
	return fmt.Sprintf("%d km/h", kmh)
}

// run prints a length along the road that is needed at least: whole feet, or metres rounded up.
func (u units) run(l geo.Length) string {
	if u.us {
		return fmt.Sprintf("%.0f ft", l.Feet())
	}
	return fmt.Sprintf("%.0f m", math.Ceil(l.M()-0.001))
}

// gap prints a spacing that is allowed at most: whole feet, or metres rounded down.
func (u units) gap(l geo.Length) string {
	if u.us {
		return fmt.Sprintf("%.0f ft", l.Feet())
	}
	return fmt.Sprintf("%.0f m", math.Floor(l.M()+0.001))
}
