package growth

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"limbround/scheduler"
)

// CurveUnder is the curve of a species in a city under the growth rules of its
// policy: the one that the policy names, else the one that Curve answers, with
// the policy's shift of dbh. Curve.Name and Curve.Fallback say what was set.
// A curve or region that is not published is a Fault of the policy.
func (m *Model) CurveUnder(region string, rules scheduler.GrowthRules, sp scheduler.Species) (Curve, *scheduler.Fault) {
	rule, i := rules.Of(sp.Code)
	if rule == nil || sp.Code == "" {
		return m.Curve(region, sp), nil
	}
	c, fault := m.ruled(region, rule, sp)
	if fault != nil {
		fault.Field = fmt.Sprintf("growth.species[%d].%s", i, fault.Field)
		return c, fault
	}
	c.plantedIn(region) // the establishment lag is of where the tree stands
	if rule.DBHShift != 0 && c.Known() && !c.Palm() {
		c.scale = 1 + rule.DBHShift/100
		shift := "dbh " + signed(rule.DBHShift) + " %"
		c.Name += ", " + shift
		c.Fallback = joined(c.Fallback, shift+" by the city's policy: "+rule.Source)
	}
	return c, nil
}

// ruled is the curve that a line of the policy asks for, without the shift.
func (m *Model) ruled(region string, rule *scheduler.SpeciesGrowth, sp scheduler.Species) (Curve, *scheduler.Fault) {
	in := region
	if rule.Region != "" {
		in = rule.Region
		if len(m.regions[in]) == 0 {
			return Curve{}, &scheduler.Fault{Field: "region", Value: in, Rule: "is no climate region of the published curves: " + strings.Join(codes(), ", ")}
		}
	}
	if rule.Curve == "" {
		c := m.Curve(in, sp)
		if !c.Known() {
			return c, &scheduler.Fault{Field: "species", Value: sp.Code, Rule: "has no curve in " + in + ": " + c.Fallback}
		}
		if rule.Region != "" {
			c.Fallback = joined(c.Fallback, "region "+in+" by the city's policy: "+rule.Source)
		}
		return c, nil
	}
	s := find(m.regions[in], func(s *set) bool { return normal(s.name) == normal(rule.Curve) })
	if s == nil {
		return Curve{}, &scheduler.Fault{Field: "curve", Value: rule.Curve, Rule: m.missing(in, rule.Curve)}
	}
	if s.misprinted() {
		return Curve{}, &scheduler.Fault{Field: "curve", Value: rule.Curve, Rule: "the published row is another species'"}
	}
	if (s.kind == palm) != (kindOf(sp) == palm) {
		return Curve{}, &scheduler.Fault{Field: "curve", Value: rule.Curve, Rule: "a palm and a tree do not stand in for one another"}
	}
	c := s.curve()
	c.standIn = base(s.name) != base(sp.Scientific)
	c.Fallback = "curve of " + c.Name + " by the city's policy: " + rule.Source
	return c, nil
}

// missing says where a curve that is not there can be had, or what there is of its genus.
func (m *Model) missing(region, name string) string {
	var regions, kin []string
	genus, _, _ := strings.Cut(normal(name), " ")
	for _, r := range Regions() {
		for _, s := range m.regions[r.Code] {
			if normal(s.name) == normal(name) {
				regions = append(regions, r.Code)
			}
			if r.Code == region && strings.HasPrefix(normal(s.name), genus+" ") {
				kin = append(kin, s.name)
			}
		}
	}
	switch {
	case len(regions) > 0:
		return "has no curve in " + region + "; it has one in " + strings.Join(regions, ", ") + " (region:)"
	case len(kin) > 0:
		return "has no published curve; of its genus there are in " + region + ": " + strings.Join(kin, ", ")
	default:
		return "has no published curve, nor has its genus in " + region
	}
}

// Faults are what the growth rules of a policy ask for and the curves or the
// city's species do not have, with the path of the figure in the policy.
func (m *Model) Faults(region string, rules scheduler.GrowthRules, species []scheduler.Species) []scheduler.Fault {
	var out []scheduler.Fault
	if len(rules.Species) > 0 && len(m.regions[region]) == 0 {
		out = append(out, scheduler.Fault{Field: "region", Value: region, Rule: "is no climate region of the published curves: " + strings.Join(codes(), ", ")})
		return out
	}
	for i, rule := range rules.Species {
		k := slices.IndexFunc(species, func(s scheduler.Species) bool { return s.Code == rule.Species })
		if k < 0 {
			out = append(out, scheduler.Fault{Field: fmt.Sprintf("growth.species[%d].species", i), Value: rule.Species, Rule: "is no code of the species table"})
			continue
		}
		if _, fault := m.CurveUnder(region, rules, species[k]); fault != nil {
			out = append(out, *fault)
		}
	}
	return out
}

func codes() []string {
	var out []string
	for _, r := range Regions() {
		out = append(out, r.Code)
	}
	return out
}

func joined(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

// signed writes a percentage with its sign: "+8", "-4.5".
func signed(v float64) string {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	if v > 0 {
		s = "+" + s
	}
	return s
}
