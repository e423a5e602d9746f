package main

import (
	"fmt"
	"io"

	"limbround/scheduler"
)

type riskCmd struct {
	Failure     string `help:"Likelihood of failure: improbable, possible, probable, imminent." required:""`
	Impact      string `help:"Likelihood of impact: very-low, low, medium, high." required:""`
	Consequence string `help:"Consequence: negligible, minor, significant, severe." required:""`
	Years       int    `help:"Time frame of the rating." required:""`
}

// Run reads the two matrices; it needs no database.
func (c *riskCmd) Run(a *app) error {
	res, err := scheduler.Risk(c.Failure, c.Impact, c.Consequence, c.Years)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) {
		fmt.Fprintf(w, "%s failure, %s impact: %s; %s consequence: %s (%d years)\n", res.Failure, res.Impact, res.Likelihood, res.Consequence, res.Rating, res.Years)
		for _, s := range res.Limits {
			fmt.Fprintln(w, "- "+s)
		}
		for _, s := range res.Sources {
			fmt.Fprintln(w, "source: "+s)
		}
	})
}
