package storetest

import (
	"math"
	"slices"

	"limbround/geo"
	"limbround/scheduler"
)

// siteRow is a place that a tree stands on. Nothing about its surroundings is
// kept: they are looked up in the layers whenever somebody asks.
type siteRow struct {
	id           int64
	ref, address string
	owner        scheduler.Owner
	at           geo.Point
	batch        int64
}

// surroundings are a site's numbers, with how far along its block it lies.
type surroundings struct {
	scheduler.Site
	along geo.Length
}

// siteOf reduces what lies around a site to numbers.
func (s *state) siteOf(id int64) surroundings {
	row := s.sites[id]
	out := surroundings{along: geo.None, Site: scheduler.Site{
		ID: row.id, Ref: row.ref, Owner: row.owner, Address: row.address, Position: row.at, WireClass: scheduler.WireNone,
		ToCurb: geo.None, ToLane: geo.None, HalfRoad: geo.None, ToWalk: geo.None, ToWire: geo.None, WireHeight: geo.None,
		ToSign: geo.None, ToLight: geo.None, ToJunction: geo.None,
	}}
	if a := s.areaAt("districts", row.at); a != nil {
		out.District = a.ref
	}
	if a := s.areaAt("sections", row.at); a != nil {
		out.Section = a.ref
	}
	s.streetNear(&out)
	for _, it := range s.layer("walks") {
		if away, _ := nearest(it.at.pts, row.at); away <= 15 {
			out.ToWalk = nearer(out.ToWalk, max(0, geo.Metres(away)-of(it.f, "width_mm", geo.Length(1500))/2))
		}
	}
	for _, it := range s.layer("signs") {
		away := it.at.pts[0].Distance(row.at)
		switch {
		case away > 15:
		case of(it.f, "kind", "") == "light":
			out.ToLight = nearer(out.ToLight, geo.Metres(away))
		default:
			out.ToSign = nearer(out.ToSign, geo.Metres(away))
		}
	}
	s.wireNear(&out)
	return out
}

// streetNear takes the nearest centreline within 40 m: side, curb, lane, junction.
func (s *state) streetNear(out *surroundings) {
	var block *item
	best, foot := 40.0, 0.0
	for _, it := range s.layer("streets") {
		if away, along := nearest(it.at.pts, out.Position); away <= best && (block == nil || away < best) {
			block, best, foot = &it, away, along
		}
	}
	if block == nil {
		return
	}
	st, pts := streetOf(block), block.at.pts
	length, width := lengthOf(pts), widthOf(st)
	back, ahead := pointAt(pts, max(0, foot-0.5)), pointAt(pts, min(length, foot+0.5))
	way, off := ahead.Sub(back), out.Position.Sub(pointAt(pts, foot))
	out.StreetID, out.StreetClass, out.SpeedKmh, out.BusRoute, out.TruckRoute = st.ID, st.Class, st.SpeedKmh, st.Bus, st.Truck
	out.StreetSide, out.FaceID = scheduler.SideLeft, block.left
	if way.X*off.Y-way.Y*off.X < 0 {
		out.StreetSide, out.FaceID = scheduler.SideRight, block.right
	}
	out.along, out.HalfRoad = geo.Metres(foot), width/2
	out.ToCurb = max(0, geo.Metres(best)-out.HalfRoad)
	out.ToLane = out.ToCurb
	if out.Parking = st.Parking == "both" || st.Parking == string(out.StreetSide); out.Parking {
		out.ToLane += 2400
	}
	for end, far := range map[geo.Point]geo.Length{pts[0]: out.along, pts[len(pts)-1]: geo.Metres(length) - out.along} {
		for _, it := range s.layer("streets") {
			if away, _ := nearest(it.at.pts, end); it.id != st.ID && away <= 0.5 {
				if far <= 60*geo.Metre {
					out.ToJunction = nearer(out.ToJunction, far)
				}
				leg := streetOf(&it)
				out.InSight = out.InSight || orderOf(leg) <= orderOf(st) && seenAcross(st, out.ToLane, far) ||
					orderOf(leg) >= orderOf(st) && seenAcross(leg, max(0, far-widthOf(leg)/2), out.ToCurb+out.HalfRoad)
			}
		}
	}
}

// orderOf ranks streets by class: who waits for whom.
func orderOf(st scheduler.Street) int {
	return slices.Index([]scheduler.StreetClass{scheduler.Alley, scheduler.Residential, scheduler.Collector, scheduler.Arterial}, st.Class)
}

// widthOf is a street's recorded width, or that of its class.
func widthOf(st scheduler.Street) geo.Length {
	if st.Width.Known() {
		return st.Width
	}
	return map[scheduler.StreetClass]geo.Length{scheduler.Arterial: 14000, scheduler.Collector: 11000, scheduler.Alley: 5000, scheduler.Residential: 9000}[st.Class]
}

// seenAcross reports whether a place off the edge of a street, along it from a
// junction, lies under the line of sight from 14.5 ft behind the edge to a car
// 6 ft inside it, as far off as 7.5 s take at the street's speed.
func seenAcross(st scheduler.Street, off, along geo.Length) bool {
	kmh := st.SpeedKmh
	if kmh == 0 {
		kmh = map[scheduler.StreetClass]int{scheduler.Arterial: 56, scheduler.Collector: 48, scheduler.Alley: 24, scheduler.Residential: 40}[st.Class]
	}
	far := math.Ceil(11.025*math.Round(float64(kmh)/1.609344)/5) * 1524
	return float64(off) <= 4420-float64(along)*6249/far
}

// wireNear takes the nearest line within 15 m; of lines at one distance, to a
// decimetre, the most dangerous and lowest.
func (s *state) wireNear(out *surroundings) {
	danger := []string{"none", "communication", "service", "secondary", "primary", "transmission", "unknown"}
	type span struct {
		it   item
		away float64
	}
	var near []span
	for _, it := range s.layer("wires") {
		if away, _ := nearest(it.at.pts, out.Position); away <= 15 {
			near = append(near, span{it, away})
		}
	}
	if len(near) == 0 {
		return
	}
	sortBy(near, func(x *span) []any {
		return []any{
			math.Round(x.away * 10), -slices.Index(danger, of(x.it.f, "class", "")),
			int64(of(x.it.f, "height_mm", geo.Length(math.MaxInt32))),
		}
	})
	out.WireClass, out.ToWire = scheduler.WireClass(of(near[0].it.f, "class", "")), geo.Metres(near[0].away)
	out.WireVolts = int(of(near[0].it.f, "volts", int64(0)))
	out.WireHeight = of(near[0].it.f, "height_mm", geo.None)
}

func nearer(a, b geo.Length) geo.Length {
	if a.Known() && a < b {
		return a
	}
	return b
}
