package due

import (
	"strings"

	"limbround/scheduler"
)

// storm is what ice and snow mean for a species in the city, made once: its
// texts are the same for every tree. Ice, wet snow and snow on leaves are rated
// apart, and only the weather that the city has counts.
type storm struct {
	objective string // empty when nothing is rated high
	caution   string
	because   string // why, with the ratings
	override  string // the city's own rating against the species table's
	source    string // of the city's own rating
}

const ratedIn = "species table: Hauer, Hruska & Dawson 1994 for ice where it lists the species, else common practice"

var loadWords = map[scheduler.StormLoad]string{
	scheduler.LoadIce: "ice", scheduler.LoadWetSnow: "wet snow", scheduler.LoadLeafSnow: "snow on leaves",
}

func stormOf(r *scheduler.StormRules, s *scheduler.Species) storm {
	table := scheduler.StormRatings{Ice: s.Ice, WetSnow: s.WetSnow, LeafSnow: s.LeafSnow}
	own := r.For(s.Code)
	var high, changed []string
	var out storm
	for _, w := range r.Weather {
		rating := table.Of(w)
		if own != nil && own.Of(w) != "" && own.Of(w) != rating {
			was := string(rating)
			if was == "" {
				was = "no rating"
			}
			changed = append(changed, loadWords[w]+": "+string(own.Of(w))+" in place of "+was)
		}
		if own != nil && own.Of(w) != "" {
			rating = own.Of(w)
		}
		if rating == scheduler.RatingHigh {
			high = append(high, loadWords[w])
		}
	}
	if len(changed) > 0 {
		out.override = "The city rates the species itself, since published ratings disagree: " + strings.Join(changed, "; ") + "."
		out.source = own.Source
	}
	if len(high) > 0 {
		words := strings.Join(high, ", ")
		out.objective = "Breaks under " + words + ": reduce the end weight of long limbs to side branches; never strip the inside"
		out.caution = "Ice and snow (" + words + " rated high): ice is not knocked off; keep out from under a loaded crown."
		out.because = "Rated high for breakage under " + words + ", which the city has: end weight is reduced at every structural visit."
	}
	return out
}

// storms says at the structural visit what the species' ratings ask for, and
// adds a look at the tree's watched unions before each winter.
func (d *draft) storms() {
	s := &d.p.storm
	if s.because == "" && s.override == "" {
		return
	}
	k := d.tasks[0].kind // the routine visit stands first
	if k == scheduler.Training || k == scheduler.RotationPrune || k == scheduler.FirstLook {
		if s.override != "" {
			d.because(0, "storm.city_rating", fixed(s.override), s.source)
		}
		if s.because != "" && k != scheduler.FirstLook {
			d.because(0, "storm.rating", fixed(s.because), d.ratedBy())
		}
	}
	if s.because != "" {
		d.unions()
	}
}

func (d *draft) ratedBy() string {
	if d.p.storm.source != "" {
		return d.p.storm.source
	}
	return ratedIn
}

// unions adds the look, before the next dormant season, at the weak unions that
// earlier visits left on record.
func (d *draft) unions() {
	weak := d.worstUnion()
	if weak == nil {
		return
	}
	c := &d.e.cal
	seen := max(lastSeen(d.t), d.e.start, 1)
	year := c.before(seen)
	var first, winter scheduler.Date
	for first <= seen {
		year++
		winter, _ = c.dormantIn(year)
		first = winter.AddDays(-d.e.care.UnionDays)
	}
	i, ok := d.inspect(task{
		class: 4, skill: scheduler.Ground, dated: true, company: joins,
		w: scheduler.Window{Earliest: first, Due: first, Latest: winter - 1},
	}, unionWork)
	if !ok {
		return
	}
	d.because(i, "storm.unions", d.item(weak, "Rated high for breakage by ice or snow: the worst union on record, ").
		str(", is looked at before winter, by ").day(winter-1).str(".").end(), d.ratedBy())
}

var unionWork = []string{
	"Before winter look at the worst unions, from the ground on all sides; a crack, a hanger or decay: stop, keep people out, call",
	"Write down what was seen at each watch item, with a photo from the same spot",
}
