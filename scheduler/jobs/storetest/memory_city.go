package storetest

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"limbround/geo"
	"limbround/scheduler"
)

// City reads the settings.
func (m *Memory) City(context.Context) (scheduler.City, error) { return m.read().city, nil }

// SetCity stores the settings, all but the coordinate system.
func (m *Memory) SetCity(ctx context.Context, c scheduler.City, by scheduler.Stamp) error {
	return m.write(ctx, func(s *state) error {
		if _, err := time.LoadLocation(c.TimeZone); err != nil || c.TimeZone == "" || c.TimeZone == "Local" {
			return scheduler.Errorf(scheduler.Invalid, "time zone %q", c.TimeZone)
		}
		if (c.Units != "us" && c.Units != "metric") || c.FiscalMonth < 1 || c.FiscalMonth > 12 {
			return scheduler.Errorf(scheduler.Invalid, "units %q, fiscal month %d", c.Units, c.FiscalMonth)
		}
		c.SRID = s.city.SRID
		s.city = c
		return signed(by)
	})
}

// SetCitySRID fixes the UTM zone, once.
func (m *Memory) SetCitySRID(ctx context.Context, srid int, by scheduler.Stamp) error {
	return m.write(ctx, func(s *state) error {
		switch had := s.city.SRID; {
		case had == srid:
			return nil
		case had != 0:
			return scheduler.Errorf(scheduler.Clash, "the city's data is stored in EPSG:%d", had)
		}
		if _, err := geo.NewUTM(srid); err != nil {
			return scheduler.Wrap(scheduler.Invalid, fmt.Sprintf("srid %d", srid), err)
		}
		s.city.SRID = srid
		return signed(by)
	})
}

// Species lists all species by code.
func (m *Memory) Species(context.Context) ([]scheduler.Species, error) {
	s := m.read()
	var out []scheduler.Species
	for _, code := range slices.Sorted(maps.Keys(s.species)) {
		out = append(out, s.species[code])
	}
	return out, nil
}

// zone is the city's time zone; SetCity let no unknown one in.
func (s *state) zone() *time.Location {
	z, err := time.LoadLocation(s.city.TimeZone)
	if err != nil {
		return time.UTC
	}
	return z
}

func (s *state) dayOf(at time.Time) scheduler.Date { return scheduler.DateOf(at.In(s.zone())) }
