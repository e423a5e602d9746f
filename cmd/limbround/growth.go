package main

import (
	"fmt"
	"io"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type growthCmd struct {
	Region  string  `help:"Climate region of the curves, for example LoMidW." required:""`
	Species string  `help:"Code, scientific or common name." required:""`
	Age     float64 `help:"Years since planting." xor:"at" required:""`
	DBH     float64 `name:"dbh" help:"Diameter at breast height in centimetres." xor:"at" required:""`
}

// Run needs no database: the curves and the species table are in the program.
func (c *growthCmd) Run(a *app) error {
	species, err := scheduler.SpeciesTable()
	if err != nil {
		return err
	}
	res, err := jobs.Growth(jobs.GrowthRequest{Region: c.Region, Species: c.Species, Age: c.Age, DBH: c.DBH}, species)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) {
		fmt.Fprintf(w, "%s in %s: age %.1f years, dbh %.1f cm, height %.1f m, crown spread %.1f m\n", res.Species, res.Region, res.Age, res.DBH, res.Height, res.Crown)
		fmt.Fprintf(w, "curve: %s, published for ages %.0f to %.0f\n", res.Curve, res.FirstAge, res.LastAge)
		if res.Fallback != "" {
			fmt.Fprintln(w, "stands in: "+res.Fallback)
		}
		if res.Extrapolated {
			fmt.Fprintln(w, "end of published range: the figures are held there")
		}
	})
}
