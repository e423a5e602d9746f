package main

import (
	"fmt"
	"io"
	"os"
	"strconv"

	"limbround/scheduler"
	"limbround/scheduler/growth"
	"limbround/scheduler/jobs"
)

type growthCompareCmd struct {
	File string `arg:"" type:"existingfile" help:"CSV with the columns region,species,age,dbh_cm,height_m."`
}

// Run needs no database.
func (c *growthCompareCmd) Run(a *app) error {
	species, err := scheduler.SpeciesTable()
	if err != nil {
		return err
	}
	f, err := os.Open(c.File)
	if err != nil {
		return scheduler.Wrap(scheduler.Invalid, "open file of measured trees", err)
	}
	defer f.Close()
	list, err := jobs.CompareGrowth(f, species)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, list, func(w io.Writer) {
		var rows [][]string
		for _, g := range list {
			rows = append(rows, compareRows(g.Curve, "dbh, cm", " years", g.DBH)...)
			rows = append(rows, compareRows(g.Curve, "height, m", " cm", g.Height)...)
		}
		table(w, []string{"curve", "of", "class", "trees", "bias", "rmse", "fit's own", "inside the band"}, rows)
	})
}

func compareRows(curve, what, unit string, list []growth.ClassError) [][]string {
	var rows [][]string
	for i, e := range list {
		if e.Trees == 0 {
			continue
		}
		class := fmt.Sprintf("%g-%g%s", e.From, e.To, unit)
		switch {
		case i == len(list)-1:
			class = "all"
		case e.To == 0:
			class = fmt.Sprintf("%g+%s", e.From, unit)
		}
		rows = append(rows, []string{
			curve, what, class, strconv.Itoa(e.Trees), fmt.Sprintf("%.2f", e.Bias), fmt.Sprintf("%.2f", e.RMSE), fmt.Sprintf("%.2f", e.Fit), fmt.Sprintf("%.0f %%", 100*e.Inside),
		})
	}
	return rows
}
