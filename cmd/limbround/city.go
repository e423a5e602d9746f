package main

import (
	"context"
	"fmt"
	"io"
	"sort"
	"strconv"
	"strings"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type cityCmd struct {
	Make cityMakeCmd `cmd:"" help:"Write an invented city as import files: same seed, same bytes."`
}

type cityMakeCmd struct {
	Trees   int            `help:"Number of trees." default:"12000"`
	Seed    uint64         `help:"Seed of the invention." default:"1"`
	Messy   bool           `help:"Plant the faults that real inventories have, and list them."`
	Format  string         `help:"File format of the trees." enum:"csv,geojson" default:"csv"`
	AsOf    scheduler.Date `help:"Day before which all planting and past work lies; today when empty." placeholder:"DATE"`
	Streets string         `help:"Take the street network from this file (GeoJSON or OpenStreetMap extract) instead of inventing one." type:"existingfile" placeholder:"FILE"`
	Around  string         `help:"Middle of the part of the street file to use; with an equals sign when it begins with a minus, --around=-85.2,40.1." placeholder:"LON,LAT"`
	Radius  float64        `help:"Radius of that part in metres."`
	Out     string         `help:"Directory for the files." required:"" type:"path" placeholder:"DIR"`
}

// Run writes the files and counts them.
func (c *cityMakeCmd) Run(ctx context.Context, a *app) error {
	around, err := lonLat(c.Around)
	if err != nil {
		return err
	}
	res, err := jobs.CityMake{Now: a.now, Progress: a.progress("trees")}.Run(ctx, jobs.CityMakeRequest{
		Trees: c.Trees, Seed: c.Seed, Messy: c.Messy, Format: c.Format, AsOf: c.AsOf,
		Streets: c.Streets, Around: around, Radius: c.Radius, Out: c.Out,
	})
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) {
		fmt.Fprintf(w, "%s, seed %d, as of %s, in %s\n", res.Name, res.Seed, res.AsOf, res.Out)
		var names []string
		for name := range res.Counts {
			names = append(names, name)
		}
		sort.Strings(names)
		var rows [][]string
		for _, n := range names {
			rows = append(rows, []string{n, strconv.FormatInt(res.Counts[n], 10)})
		}
		table(w, []string{"layer", "rows"}, rows)
	})
}

// lonLat reads "LON,LAT" in degrees; empty is no position.
func lonLat(s string) (geo.Point, error) {
	if s == "" {
		return geo.Point{}, nil
	}
	lon, lat, ok := strings.Cut(s, ",")
	x, errX := strconv.ParseFloat(strings.TrimSpace(lon), 64)
	y, errY := strconv.ParseFloat(strings.TrimSpace(lat), 64)
	if !ok || errX != nil || errY != nil || x < -180 || x > 180 || y < -90 || y > 90 {
		return geo.Point{}, scheduler.Errorf(scheduler.Invalid, "around %q: want longitude and latitude in degrees, such as -85.2,40.1", s)
	}
	return geo.Point{X: x, Y: y}, nil
}
