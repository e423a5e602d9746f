package storetest

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"limbround/scheduler"
)

// plain is a picture without numbers of rows, which two stores give out as they
// like: things are named by their keys.
func (w *twin) plain() string {
	w.t.Helper()
	p := w.picture()
	streets, crews, visits := map[int64]string{}, map[int64]string{}, map[int64]string{}
	for i := range p.Streets {
		streets[p.Streets[i].ID] = p.Streets[i].Ref
		p.Streets[i].ID = 0
	}
	for i := range p.Crews {
		crews[p.Crews[i].ID] = p.Crews[i].Ref
		p.Crews[i].ID, p.Crews[i].DepotID = 0, 0
	}
	slices.SortFunc(p.Trees, func(a, b treePicture) int { return strings.Compare(a.Listed.Tree.Ref, b.Listed.Tree.Ref) })
	for i := range p.Trees {
		t := &p.Trees[i]
		for _, v := range t.Visits {
			visits[v.ID] = fmt.Sprintf("%s of %s from %s", v.Kind, t.Listed.Tree.Ref, v.Window.Earliest)
		}
	}
	var b strings.Builder
	say := func(what string, v any) {
		text, err := json.MarshalIndent(v, "", " ")
		w.must(err)
		fmt.Fprintf(&b, "%s %s\n", what, text)
	}
	say("streets", p.Streets)
	say("crews", p.Crews)
	for i := range p.Trees {
		t := &p.Trees[i]
		say("tree "+t.Listed.Tree.Ref, plainTree(t.Seen.Tree))
		t.Seen.Base.Watch = nil // no part of it
		say("base", plainTree(t.Seen.Base))
		site := t.Listed.Site
		say("site on "+streets[site.StreetID], fmt.Sprintf("%v %v", site.Position, site.FaceID != 0))
		site.ID, site.StreetID, site.FaceID = 0, 0, 0
		say("site", site)
		for _, v := range t.Visits {
			v.ID, v.TreeID, v.SiteID, v.PolicyID = 0, 0, 0, 0
			say(fmt.Sprintf("visit, revision %d", v.Revision), v)
		}
		for _, e := range t.Records {
			say("record of "+visits[e.Record.VisitID], e.DoneOn)
			e.Record.TreeID, e.Record.VisitID, e.Record.PacketID, e.Record.CrewID = 0, 0, 0, 0
			e.Arrived = e.Arrived.UTC()
			say("record", e)
		}
		say("measured", slices.Concat([]scheduler.Measurement{}, t.Measured))
	}
	plainPackets(p.Packets, crews, visits, say)
	p.Overdue.PolicyID, p.Overdue.Total.CrewHours = 0, math.Round(60*p.Overdue.Total.CrewHours)
	for i := range p.Overdue.Rows { // sums of fractions, in any order
		p.Overdue.Rows[i].CrewHours = math.Round(60 * p.Overdue.Rows[i].CrewHours)
	}
	say("overdue", p.Overdue)
	for _, x := range p.Batches {
		say("batch", fmt.Sprintf("%s %s %+v", x.Layer, x.State, x.Counts))
	}
	return b.String()
}

func plainTree(t scheduler.Tree) scheduler.Tree {
	t.ID, t.SiteID, t.Watch = 0, 0, slices.Clone(t.Watch)
	for i := range t.Watch {
		t.Watch[i].ID, t.Watch[i].TreeID = 0, 0
	}
	return t
}

func plainPackets(list []scheduler.Packet, crews, visits map[int64]string, say func(string, any)) {
	for _, p := range list {
		for i := range p.Stops {
			say("stop at "+visits[p.Stops[i].VisitID], p.Stops[i].State)
			p.Stops[i].ID, p.Stops[i].VisitID, p.Stops[i].DumpID = 0, 0, 0
		}
		say("packet of "+crews[p.CrewID], p.Day)
		p.ID, p.CrewID = 0, 0
		say("packet", p)
	}
}
