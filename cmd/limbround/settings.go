package main

import (
	"context"
	"io"
	"strconv"

	"limbround/scheduler"
)

type settingsCmd struct {
	Name         *string `help:"Name of the city."`
	TimeZone     *string `help:"Time zone that decides what today is, for example America/Chicago."`
	Units        *string `help:"us or metric."`
	FiscalMonth  *int    `help:"First month of the fiscal year."`
	Hospital     *string `help:"Nearest hospital, for the packet's front page."`
	Emergency    *string `help:"Emergency number."`
	UtilityPhone *string `help:"Number of the electric utility."`
}

// Run changes what was given and shows the result.
func (c *settingsCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	city, err := d.City(ctx)
	if err != nil {
		return err
	}
	if c.apply(&city) {
		if err := d.SetCity(ctx, city, a.stamp()); err != nil {
			return err
		}
	}
	return a.show(a.cli.JSON, city, func(w io.Writer) {
		table(w, []string{"setting", "value"}, [][]string{
			{"name", city.Name},
			{"time zone", city.TimeZone},
			{"units", city.Units},
			{"first month of the fiscal year", strconv.Itoa(city.FiscalMonth)},
			{"metric system (EPSG)", strconv.Itoa(city.SRID)},
			{"hospital", city.Hospital},
			{"emergency", city.Emergency},
			{"utility", city.UtilityPhone},
		})
	})
}

func (c *settingsCmd) apply(city *scheduler.City) (changed bool) {
	text := func(from *string, to *string) {
		if from != nil {
			*to, changed = *from, true
		}
	}
	text(c.Name, &city.Name)
	text(c.TimeZone, &city.TimeZone)
	text(c.Units, &city.Units)
	text(c.Hospital, &city.Hospital)
	text(c.Emergency, &city.Emergency)
	text(c.UtilityPhone, &city.UtilityPhone)
	if c.FiscalMonth != nil {
		city.FiscalMonth, changed = *c.FiscalMonth, true
	}
	return changed
}
