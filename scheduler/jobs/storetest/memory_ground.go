package storetest

import (
	"context"

	"limbround/geo"
	"limbround/scheduler"
)

// item is one row of a layer other than trees and past visits: what the file
// said, field by field, and where it lies in the city's metres.
type item struct {
	id          int64
	layer, ref  string
	f           f
	at          ground
	version     int   // districts: counts moved boundaries
	left, right int64 // streets: their block faces
	batch       int64
}

// ground is a shape in the city's metres: pts of a point or a line, parts of an area.
type ground struct {
	pts   []geo.Point
	parts [][][]geo.Point
}

// of is a field's value, or otherwise when there is none.
func of[T any](m f, field string, otherwise T) T {
	if v, ok := m[field].(T); ok {
		return v
	}
	return otherwise
}

func (s *state) layer(name string) []item {
	return byID(s.items, func(it *item) bool { return it.layer == name })
}

func (s *state) itemNamed(layer, ref string) (item, bool) {
	for _, it := range s.items {
		if it.layer == layer && it.ref == ref {
			return it, true
		}
	}
	return item{}, false
}

// Districts returns the districts by ref.
func (m *Memory) Districts(context.Context) ([]scheduler.Area, error) {
	return m.read().areas("districts"), nil
}

// Sections returns the sections by ref.
func (m *Memory) Sections(context.Context) ([]scheduler.Area, error) {
	return m.read().areas("sections"), nil
}

func (s *state) areas(layer string) []scheduler.Area {
	var out []scheduler.Area
	for _, it := range s.layer(layer) {
		out = append(out, scheduler.Area{
			ID: it.id, Ref: it.ref, Name: of(it.f, "name", ""), CycleYear: int(of(it.f, "cycle_year", int64(0))), Version: it.version,
		})
	}
	sortBy(out, func(a *scheduler.Area) []any { return []any{a.Ref} })
	return out
}

// Streets returns every block by id.
func (m *Memory) Streets(context.Context) ([]scheduler.Street, error) {
	var out []scheduler.Street
	for _, it := range m.read().layer("streets") {
		out = append(out, streetOf(&it))
	}
	return out, nil
}

func streetOf(it *item) scheduler.Street {
	return scheduler.Street{
		ID: it.id, Ref: it.ref, Name: of(it.f, "name", ""), Class: scheduler.StreetClass(of(it.f, "class", "")),
		OneWay: of(it.f, "one_way", ""), SpeedKmh: int(of(it.f, "speed_kmh", int64(0))), Width: of(it.f, "width_mm", geo.None),
		Lanes: int(of(it.f, "lanes", int64(0))), Parking: of(it.f, "parking", ""), Bus: of(it.f, "bus_route", false),
		Truck: of(it.f, "truck_route", false), Bridge: of(it.f, "bridge", false), MaxHeight: of(it.f, "max_height_mm", geo.None),
		MaxWeightKg: int(of(it.f, "max_weight_kg", int64(0))), Line: it.at.pts,
	}
}

// Depots returns the places where crews start, by id.
func (m *Memory) Depots(context.Context) ([]scheduler.Depot, error) {
	var out []scheduler.Depot
	for _, it := range m.read().layer("depots") {
		out = append(out, scheduler.Depot{ID: it.id, Ref: it.ref, Name: of(it.f, "name", ""), Position: it.at.pts[0]})
	}
	return out, nil
}

// Dumps returns the sites that take chips or wood, by id.
func (m *Memory) Dumps(context.Context) ([]scheduler.Dump, error) {
	var out []scheduler.Dump
	for _, it := range m.read().layer("dumps") {
		out = append(out, scheduler.Dump{
			ID: it.id, Ref: it.ref, Name: of(it.f, "name", ""), Minutes: int(of(it.f, "minutes", int64(0))),
			Sanitary: of(it.f, "sanitation", ""), Position: it.at.pts[0],
		})
	}
	return out, nil
}

// Crews returns the standing crews by id.
func (m *Memory) Crews(context.Context) ([]scheduler.Crew, error) {
	s := m.read()
	var out []scheduler.Crew
	for _, it := range s.layer("crews") {
		out = append(out, s.crewOf(&it))
	}
	return out, nil
}

func (s *state) crewOf(it *item) scheduler.Crew {
	number := func(field string) int { return int(of(it.f, field, int64(0))) }
	depot, _ := s.itemNamed("depots", of(it.f, "depot_ref", ""))
	return scheduler.Crew{
		ID: it.id, Ref: it.ref, Name: of(it.f, "name", ""), DepotID: depot.id, People: number("people"),
		Skills: of(it.f, "skills", []scheduler.Skill(nil)), TruckL: number("truck_chips_l"),
		TruckHeight: of(it.f, "truck_height_mm", geo.Length(0)), TruckKg: number("truck_weight_kg"),
		ShiftStart: number("shift_start"), ShiftMin: number("shift_minutes"), YardMin: number("yard_minutes"),
		BreakMin: number("break_minutes"), Weekdays: number("weekdays"), Tickets: of(it.f, "tickets", []scheduler.Ticket(nil)),
	}
}
