package main

import (
	"testing"

	"limbround/scheduler/jobs"
)

// TestStreetsStraightFromAnExtract takes the network from the extract itself,
// cut to a box, and stands the same invented trees on it.
func TestStreetsStraightFromAnExtract(t *testing.T) {
	p := newProgram(t, 2026, 12, 1)
	made := makeDover(t, p, 600)
	for _, layer := range layerOrder() {
		if layer == "streets" {
			r := p.load("streets", extract(t), "--box="+doverBox, "--rejects", t.TempDir()+"/rejects.csv")
			if r.New < 500 {
				t.Errorf("streets of the box: %+v", r)
			}
			continue
		}
		p.load(layer, layerFile(t, made.Out, layer))
	}
	if near, all := p.number("SELECT count(*) FROM site_fact WHERE face_id IS NOT NULL"), p.number("SELECT count(*) FROM site_fact"); near < all*95/100 {
		t.Errorf("%d of %d sites have found their block face", near, all)
	}
	var due jobs.DueResult
	p.json(&due, "due")
	if due.Trees == 0 || due.Visits < due.Trees {
		t.Errorf("due: %+v", due.DueStats)
	}
}
