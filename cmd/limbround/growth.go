package main

import (
	"fmt"
	"io"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type growthCmd struct {
	Show      growthShowCmd      `cmd:"" default:"withargs" help:"Project one tree by the published curves."`
	Calibrate growthCalibrateCmd `cmd:"" help:"Hold the city's measured trees against the curves and propose shifts for the policy."`
	Compare   growthCompareCmd   `cmd:"" help:"Hold a file of measured trees against the published curves."`
}

type growthShowCmd struct {
	Region  string  `help:"Climate region of the curves, for example LoMidW." required:""`
	Species string  `help:"Code, scientific or common name." required:""`
	Age     float64 `help:"Years since planting." xor:"at" required:""`
	DBH     float64 `name:"dbh" help:"Diameter at breast height in centimetres, as measured now." xor:"at" required:""`
	Years   float64 `help:"Project so many years on."`
	Policy  string  `help:"Use the growth rules of this policy file." type:"existingfile"`
}

// Run needs no database: the curves and the species table are in the program.
func (c *growthShowCmd) Run(a *app) error {
	species, err := scheduler.SpeciesTable()
	if err != nil {
		return err
	}
	q := jobs.GrowthRequest{Region: c.Region, Species: c.Species, Age: c.Age, DBH: c.DBH, Years: c.Years}
	if c.Policy != "" {
		p, _, err := readPolicy(c.Policy)
		if err != nil {
			return err
		}
		q.Rules = p.Growth
	}
	res, err := jobs.Growth(q, species)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) { growthText(w, &res) })
}

func growthText(w io.Writer, r *jobs.GrowthResult) {
	fmt.Fprintf(w, "%s in %s: age %.1f years, dbh %.1f cm, height %.1f m, crown spread %.1f m\n", r.Species, r.Region, r.Age, r.DBH, r.Height, r.Crown)
	if r.HeightHigh > 0 {
		if r.DBHHigh > 0 {
			fmt.Fprintf(w, "dbh %.1f to %.1f cm, ", r.DBHLow, r.DBHHigh)
		}
		fmt.Fprintf(w, "height %.1f to %.1f m", r.HeightLow, r.HeightHigh)
		if r.CrownHigh > 0 {
			fmt.Fprintf(w, ", crown spread %.1f to %.1f m", r.CrownLow, r.CrownHigh)
		}
		fmt.Fprintf(w, ": %s\n", r.Band)
	} else {
		fmt.Fprintf(w, "low and high: %s\n", r.Band)
	}
	fmt.Fprintf(w, "curve: %s, published for ages %.0f to %.0f\n", r.Curve, r.FirstAge, r.LastAge)
	if r.Fallback != "" {
		fmt.Fprintln(w, "stands in: "+r.Fallback)
	}
	if r.Extrapolated {
		fmt.Fprintln(w, "end of published range: the figures are held there")
	}
}
