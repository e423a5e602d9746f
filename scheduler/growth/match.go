package growth

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"limbround/scheduler"
)

// match picks the curve set for a species out of those of one region, and says
// how when it is not the species' own: by name, by name without cultivar or
// variety, by genus, by growth class. A relative of quite another stature is
// passed over: a Japanese maple does not grow like a silver maple. Every choice
// is deterministic. The steps are this project's own rule, not a published one.
func match(sets []*set, sp scheduler.Species) (*set, string) {
	if len(sets) == 0 {
		return nil, "no curves for this climate region"
	}
	if bad := find(sets, func(s *set) bool { return s.misprinted() }); bad != nil {
		s, how := match(filter(sets, func(s *set) bool { return s != bad }), sp)
		if normal(bad.name) == normal(sp.Scientific) {
			how = joined("the published row is another species'", how)
		}
		return s, how
	}
	names := []string{normal(sp.Scientific)}
	for _, syn := range sp.Synonyms {
		names = append(names, normal(syn))
	}
	for _, name := range names {
		if s := find(sets, func(s *set) bool { return normal(s.name) == name }); s != nil {
			return s, ""
		}
	}
	for _, name := range names {
		if s := find(sets, func(s *set) bool { return name != "" && base(s.name) == base(name) }); s != nil {
			return s, sameSpecies + "curve of " + s.name
		}
	}
	want := kindOf(sp)
	same := filter(sets, func(s *set) bool { return s.kind == want })
	genus := normal(sp.Genus())
	kin := filter(same, func(s *set) bool {
		return genus != "" && strings.Fields(normal(s.name))[0] == genus && s.stature(sp) <= math.Log(maxStature)
	})
	if len(kin) > 0 {
		s := best(kin, sp, func(*set) float64 { return 0 })
		if general := find(kin, func(s *set) bool { return base(s.name) == genus }); general != nil {
			s = general
		}
		return s, "genus " + sp.Genus() + ": curve of " + s.name
	}
	if want == palm && len(same) == 0 {
		return nil, "no palm curves in this climate region"
	}
	if len(same) == 0 {
		same = filter(sets, func(s *set) bool { return s.kind != palm })
	}
	class := max(slices.Index(growthClasses[:], sp.Growth), 0)
	s := best(same, sp, func(s *set) float64 { return classStep * math.Abs(float64(thirdOf(same, s)-classThird[class])) })
	how := growthClasses[class] + " growth class"
	if sp.MatureHeight > 0 {
		how += ", mature height " + sp.MatureHeight.String()
	}
	return s, how + ": curve of " + s.name
}

// misprinted tells the one set whose published dbh is another species': the row
// of Prunus cerasifera in Longview repeats that of Malus angustifolia to the
// last decimal, and is half as thick as the 74 cherry plums measured there.
func (s *set) misprinted() bool { return s.region == "PacfNW" && s.code == "PRCE" }

// standsIn reports whether what match answered says that the curve is of another species.
func standsIn(how string) bool { return how != "" && !strings.HasPrefix(how, sameSpecies) }

const sameSpecies = "species: "

const (
	maxStature = 1.75 // largest ratio between the mature heights of a species and the relative that stands in
	classStep  = 0.2  // what a step between slow, moderate and fast counts against a difference in log height
)

// The growth classes of the species table, the one assumed when none is given
// first, and the third of a region's curves that each stands for.
var (
	growthClasses = [...]string{"moderate", "slow", "fast"}
	classThird    = [...]int{1, 0, 2}
)

func kindOf(sp scheduler.Species) kind {
	switch sp.Habit {
	case scheduler.Palm:
		return palm
	case scheduler.Conifer:
		return conifer
	default:
		return broadleaf
	}
}

// thirdOf tells whether a set is in the slow (0), moderate (1) or fast (2)
// third of the sets by early growth in dbh.
func thirdOf(sets []*set, s *set) int {
	slower := 0
	for _, other := range sets {
		if c := cmp.Compare(other.speed(), s.speed()); c < 0 || c == 0 && other.name < s.name {
			slower++
		}
	}
	return slower * 3 / len(sets)
}

// speed is the mean growth over the first twenty years: dbh in cm a year, or
// for a palm height in m a year.
func (s *set) speed() float64 {
	age := max(min(20, s.maxAge), 1)
	if s.kind == palm {
		return s.height.at(age) / age
	}
	return s.dbh.at(age) / age
}

// best is the set with the least penalty and difference in stature; of those
// that are alike, the one of median speed.
func best(sets []*set, sp scheduler.Species, penalty func(*set) float64) *set {
	sorted := slices.Clone(sets)
	slices.SortFunc(sorted, func(a, b *set) int {
		return cmp.Or(
			cmp.Compare(penalty(a)+a.stature(sp), penalty(b)+b.stature(sp)),
			cmp.Compare(a.speed(), b.speed()), strings.Compare(a.name, b.name))
	})
	least := penalty(sorted[0]) + sorted[0].stature(sp)
	alike := filter(sorted, func(s *set) bool { return penalty(s)+s.stature(sp) == least })
	return alike[(len(alike)-1)/2]
}

// stature is the difference in log height between the end of the published
// range and the species' mature height; 0 when that is not recorded.
func (s *set) stature(sp scheduler.Species) float64 {
	if sp.MatureHeight <= 0 {
		return 0
	}
	return math.Abs(math.Log(max(s.top(), 0.1) / sp.MatureHeight.M()))
}

// top is the height at the end of the published range in m.
func (s *set) top() float64 { return s.height.at(s.height.hi) }

// normal brings a scientific name to one spelling: lower case, x for the
// hybrid sign, without "spp.", "sp." and "cvs." at its end.
func normal(name string) string {
	words := strings.Fields(strings.ToLower(strings.ReplaceAll(name, "×", " x ")))
	for len(words) > 1 && slices.Contains([]string{"spp.", "sp.", "cvs.", "spp", "sp"}, words[len(words)-1]) {
		words = words[:len(words)-1]
	}
	return strings.Join(words, " ")
}

// base is the normal name without cultivar, variety and subspecies.
func base(name string) string {
	n := normal(name)
	for _, mark := range []string{" '", " var.", " subsp."} {
		n, _, _ = strings.Cut(n, mark)
	}
	return n
}

func find(sets []*set, ok func(*set) bool) *set {
	if i := slices.IndexFunc(sets, ok); i >= 0 {
		return sets[i]
	}
	return nil
}

func filter(sets []*set, ok func(*set) bool) []*set {
	var out []*set
	for _, s := range sets {
		if ok(s) {
			out = append(out, s)
		}
	}
	return out
}
