package due

import (
	"reflect"
	"slices"

	"limbround/scheduler"
)

// Touched answers which trees can get other visits when one policy follows
// another. It may name too many, never too few: what it does not know to be
// narrow touches every tree. Narrow are the heights over the roads of one
// class, the closed and advisory seasons of one species group, and the growth
// of one species. Names, and the figures behind the advice on one branch, touch
// nothing, nor does the day of effect alone. The day from which records count
// touches all: windows of trees without a record are counted from it.
func Touched(before, after scheduler.Policy, species []scheduler.Species) scheduler.DueTouch {
	var t scheduler.DueTouch
	t.Streets = otherRoads(before.Clearance.Roads, after.Clearance.Roads)
	t.Species = otherSeasons(before.Seasons.Special, after.Seasons.Special, species)
	t.Species = otherGrowth(t.Species, before.Growth, after.Growth)
	for _, p := range []*scheduler.Policy{&before, &after} {
		p.ID, p.Name, p.AdoptedBy = 0, "", ""
		p.FirstLook.From, p.Effective = p.Start(), 0
		p.Advise = scheduler.AdviseRules{}
		p.Clearance.Roads, p.Seasons.Special, p.Growth = nil, nil, scheduler.GrowthRules{}
	}
	if !reflect.DeepEqual(before, after) {
		return scheduler.DueTouch{All: true}
	}
	return t
}

// otherRoads lists the street classes whose rule differs.
func otherRoads(before, after []scheduler.RoadRule) []scheduler.StreetClass {
	var list []scheduler.StreetClass
	for _, r := range slices.Concat(before, after) {
		if !slices.Contains(list, r.Class) && !reflect.DeepEqual(roadOf(before, r.Class), roadOf(after, r.Class)) {
			list = append(list, r.Class)
		}
	}
	return list
}

// roadOf is the rule that holds for a class: the first of it.
func roadOf(list []scheduler.RoadRule, c scheduler.StreetClass) *scheduler.RoadRule {
	if i := slices.IndexFunc(list, func(r scheduler.RoadRule) bool { return r.Class == c }); i >= 0 {
		return &list[i]
	}
	return nil
}

// otherSeasons lists the species for which other special seasons hold. A tree
// without a species has no group.
func otherSeasons(before, after []scheduler.Season, species []scheduler.Species) []string {
	differs := map[string]bool{}
	group := func(g string) bool {
		d, known := differs[g]
		if !known {
			d = !reflect.DeepEqual(seasonsOf(before, g), seasonsOf(after, g))
			differs[g] = d
		}
		return d
	}
	var list []string
	if group("") {
		list = append(list, "")
	}
	for i := range species {
		if group(species[i].ClosedGroup) {
			list = append(list, species[i].Code)
		}
	}
	return list
}

func seasonsOf(list []scheduler.Season, group string) []scheduler.Season {
	var out []scheduler.Season
	for _, s := range list {
		if len(s.Groups) == 0 || slices.Contains(s.Groups, group) {
			out = append(out, s)
		}
	}
	return out
}
