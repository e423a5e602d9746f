package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"strconv"

	"limbround/db"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type policyCmd struct {
	List    policyListCmd    `cmd:"" help:"List the versions of the rules."`
	Presets policyPresetsCmd `cmd:"" help:"List the presets, or print one to start from."`
	Check   policyCheckCmd   `cmd:"" help:"Check a policy file without adopting it."`
	Preview policyPreviewCmd `cmd:"" help:"Say what adopting a policy file would move, and adopt nothing."`
	Adopt   policyAdoptCmd   `cmd:"" help:"Adopt a policy file as a new version."`
}

type policyListCmd struct{}

// Run lists every version, the latest in effect first.
func (c *policyListCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	list, err := d.ListPolicies(ctx)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, list, func(w io.Writer) {
		var rows [][]string
		for _, p := range list {
			rows = append(rows, []string{strconv.FormatInt(p.ID, 10), p.Name, p.AdoptedBy, p.Effective.String(), p.Region})
		}
		table(w, []string{"id", "name", "adopted by", "effective", "climate region"}, rows)
	})
}

type policyPresetsCmd struct {
	Name string `arg:"" optional:"" help:"Preset to print."`
}

// Run prints a preset as the YAML to edit.
func (c *policyPresetsCmd) Run(a *app) error {
	if c.Name == "" {
		return a.listPresets()
	}
	src, err := scheduler.Preset(c.Name)
	if err != nil {
		return err
	}
	_, err = a.out.Write(src)
	return err
}

type policyCheckCmd struct {
	File string `arg:"" type:"existingfile" help:"Policy file (YAML)."`
}

// Run names every fault of the file by line.
func (c *policyCheckCmd) Run(a *app) error {
	_, src, err := readPolicy(c.File)
	if err != nil {
		return err
	}
	species, err := scheduler.SpeciesTable()
	if err != nil {
		return err
	}
	p, err := jobs.ReadPolicy(src, species)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, p, func(w io.Writer) { fmt.Fprintf(w, "%s: no fault found.\n", p.Name) })
}

type policyAdoptCmd struct {
	File    string `arg:"" type:"existingfile" help:"Policy file (YAML)."`
	Preview bool   `help:"Say first what it moves."`
}

// Run adopts the file; the same file again is the version it already has.
func (c *policyAdoptCmd) Run(ctx context.Context, a *app) error {
	_, src, err := readPolicy(c.File)
	if err != nil {
		return err
	}
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	p, err := cityPolicy(ctx, d, src)
	if err != nil {
		return err
	}
	var res adopted
	if c.Preview {
		moves, err := a.preview(ctx, d, p, 0, "")
		if err != nil {
			return err
		}
		res.Preview = &moves
	}
	if p.ID, err = d.AddPolicy(ctx, src, p, a.stamp()); err != nil {
		return err
	}
	res.Policy = p
	return a.show(a.cli.JSON, res, func(w io.Writer) {
		if res.Preview != nil {
			previewText(w, res.Preview)
		}
		fmt.Fprintf(w, "Version %d, %s, in effect from %s. Run: limbround due\n", p.ID, p.Name, p.Effective)
	})
}

// adopted is the version as it is stored, and what it moved when that was asked for.
type adopted struct {
	scheduler.Policy
	Preview *scheduler.PolicyPreview `json:"preview,omitempty"`
}

// cityPolicy reads a policy's text against the species of the city.
func cityPolicy(ctx context.Context, d *db.DB, src []byte) (scheduler.Policy, error) {
	species, err := d.Species(ctx)
	if err != nil {
		return scheduler.Policy{}, err
	}
	return jobs.ReadPolicy(src, species)
}

func readPolicy(file string) (scheduler.Policy, []byte, error) {
	src, err := os.ReadFile(file)
	if err != nil {
		return scheduler.Policy{}, nil, scheduler.Wrap(scheduler.Invalid, "read policy file", err)
	}
	p, err := scheduler.ParsePolicy(src)
	return p, src, err
}
