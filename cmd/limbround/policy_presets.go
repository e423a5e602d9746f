package main

import (
	"fmt"
	"io"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/growth"
)

// presetLine is one preset in the list: what tells it from the others.
type presetLine struct {
	Preset     string     `json:"preset"`
	Name       string     `json:"name"`
	Region     string     `json:"region"`
	Curves     string     `json:"curves"` // city in which the curves of the region were measured
	Walk       geo.Length `json:"walk_mm"`
	AtCurb     geo.Length `json:"at_curb_mm"` // over a residential street
	AtLane     geo.Length `json:"at_lane_mm"`
	ToCentre   bool       `json:"to_centre"`
	Dormant    string     `json:"dormant"`
	YoungTrees bool       `json:"young_trees_excepted"`
}

func presetLines() ([]presetLine, error) {
	var list []presetLine
	for _, name := range scheduler.Presets() {
		src, err := scheduler.Preset(name)
		if err != nil {
			return nil, err
		}
		p, err := scheduler.ParsePolicy(src)
		if err != nil {
			return nil, fmt.Errorf("read preset %s: %w", name, err)
		}
		l := presetLine{Preset: name, Name: p.Name, Region: p.Region, Walk: p.Clearance.Walk.Legal, YoungTrees: p.Clearance.YoungTrees != ""}
		if r, ok := growth.RegionOf(p.Region); ok {
			l.Curves = r.City
		}
		for _, r := range p.Clearance.Roads {
			if r.Class == scheduler.Residential {
				l.AtCurb, l.AtLane, l.ToCentre = r.AtCurb.Legal, r.AtLane.Legal, r.ToCentre
			}
		}
		d := p.Seasons.Dormant
		l.Dormant = fmt.Sprintf("%02d-%02d to %02d-%02d", d.From.Month, d.From.Day, d.To.Month, d.To.Day)
		list = append(list, l)
	}
	return list, nil
}

// listPresets prints the presets with what tells them apart.
func (a *app) listPresets() error {
	list, err := presetLines()
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, list, func(w io.Writer) {
		var rows [][]string
		for _, l := range list {
			lane := height(l.AtLane)
			if l.ToCentre {
				lane += " at the centre"
			}
			young := ""
			if l.YoungTrees {
				young = "excepted"
			}
			rows = append(rows, []string{l.Preset, l.Region + " (" + l.Curves + ")", height(l.Walk), height(l.AtCurb), lane, l.Dormant, young})
		}
		table(w, []string{"preset", "growth curves", "walk", "curb", "road", "dormant season", "young trees"}, rows)
	})
}

func height(l geo.Length) string { return fmt.Sprintf("%s (%.1f ft)", l, l.Feet()) }
