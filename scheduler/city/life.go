package city

import (
	"math"
	"math/rand/v2"
	"strconv"

	"limbround/geo"
	"limbround/scheduler"
)

// life is what really happened to a tree; the inventory knows only part of it.
type life struct {
	kind    *kind
	planted scheduler.Date // the true day
	caliper float64        // cm
	vigour  float64        // its growth against its species' usual
	style   style
	record  string // the planting date as the inventory has it, "" for none
}

// lastAutumn is the end of the last planting season that is over on a day.
func lastAutumn(today scheduler.Date) scheduler.Date {
	if end := scheduler.NewDate(today.Year(), 11, 20); end < today {
		return end
	}
	return scheduler.NewDate(today.Year()-1, 11, 20)
}

// born draws when a tree was planted, 40 in 100 of them in the last ten years
// of forty-five, and what the inventory kept of the date: mostly the day for
// young trees, the season or the year for older ones, nothing for many old ones.
func (c *City) born(r *rand.Rand, underWires bool) life {
	years := 10 * r.Float64()
	if !chance(r, 0.4) {
		years = 10 + 35*math.Pow(r.Float64(), 1.15)
	}
	end := lastAutumn(c.req.Today)
	year := end.Year() - int(years)
	spring := int(years) == 0 || chance(r, 0.55) // the last season is full only in spring
	planted := scheduler.NewDate(year, 10, 5).AddDays(r.IntN(46))
	if spring {
		planted = scheduler.NewDate(year, 3, 20).AddDays(r.IntN(50))
	}
	l := life{planted: planted, caliper: math.Round(between(r, 3.5, 6.5)*2) / 2, vigour: between(r, 0.8, 1.2)}
	l.kind = c.speciesFor(r, years, underWires)
	l.record = recorded(r, planted, spring, years)
	return l
}

func recorded(r *rand.Rand, d scheduler.Date, spring bool, years float64) string {
	// day, month, season, year, none
	shares := []float64{70, 10, 12, 6, 2}
	switch {
	case years > 28:
		shares = []float64{0, 0, 4, 50, 46}
	case years > 18:
		shares = []float64{8, 8, 24, 40, 20}
	case years > 10:
		shares = []float64{35, 15, 30, 15, 5}
	}
	year := strconv.Itoa(d.Year())
	switch pick(r, shares) {
	case 0:
		return d.String()
	case 1:
		return d.String()[:7]
	case 2:
		if spring {
			return "spring " + year
		}
		return "autumn " + year
	case 3:
		return year
	}
	return ""
}

// dbh is the stem diameter in cm on a day: slow in the first season, steady,
// then ever slower. The caliper is measured below breast height, where the stem
// is a little thicker.
func (l *life) dbh(on scheduler.Date) float64 {
	years := max(l.planted.YearsTo(on)-1, 0)
	return l.caliper*0.8 + l.kind.grow*l.vigour*years*(1-years/150)
}

// height and crown are in metres.
func (l *life) height(on scheduler.Date) float64 {
	return 1.6 + (l.kind.top-1.6)*(1-math.Exp(-l.dbh(on)*0.62/l.kind.top))
}

func (l *life) crown(on scheduler.Date) float64 {
	wide := 0.75 * l.kind.top
	if l.kind.small {
		wide = 0.95 * l.kind.top
	}
	return 0.8 + (wide-0.8)*(1-math.Exp(-l.dbh(on)*0.36/wide))
}

// tenth rounds to the tenth of a metre that crews write down.
func tenth(m float64) geo.Length { return geo.Length(100 * math.Round(m*10)) }

// tree makes the row of an ordinary tree and its past.
func (c *City) tree(ref string, i int, spot place, owner scheduler.Owner) Stand {
	s := &c.streets[i]
	r := draw(c.req.Seed, streamPlot, -mixRef(ref))
	w := c.span(i)
	v := treeValues{ref: ref, owner: string(owner), address: s.address(spot.at, spot.onLeft), state: "alive"}
	out := Stand{Tree: Entry{Row: scheduler.Row{Shape: geo.NewPoint(4326, c.lonLat(spot.p))}}, at: spot.p}
	l := c.born(r, w.over(spot.onLeft))
	l.style = c.styleOf(ref)
	out.life = l
	age := l.planted.YearsTo(c.req.Today)
	u := r.Float64()
	gone := 0.005 + 0.0012*age
	if l.kind.name == "Fraxinus pennsylvanica" {
		gone = 0.35
	}
	switch {
	case u < gone*0.14:
		v.state = "dead"
	case u < gone*0.45:
		v.state = "stump"
	case u < gone*0.8:
		v.state = "removed"
	case u < gone*0.8+0.025:
		v.state = "vacant"
	}
	if v.state != "vacant" && (v.state != "stump" || chance(r, 0.6)) {
		v.species = l.kind.name
	}
	if v.state == "alive" {
		out.History = c.past(draw(c.req.Seed, streamCare, -mixRef(ref)), &l, ref, spot.p, c.vergeOf(i, spot), &v)
		v.planted = l.record
		if age < 16 {
			v.caliper = geo.Length(10 * l.caliper)
		}
		c.measure(r, &l, &v)
	}
	out.Tree.Row.Values = v.values()
	return out
}

// measure writes down what somebody once measured on the tree.
func (c *City) measure(r *rand.Rand, l *life, v *treeValues) {
	v.stems = 1
	if l.kind.small && chance(r, 0.12) || chance(r, 0.015) {
		v.stems = 2 + int64(r.IntN(3))
	}
	if chance(r, 0.03) {
		v.vigour = []string{"fair", "poor"}[r.IntN(2)]
	}
	on := c.req.Today.AddDays(-30 - r.IntN(6*365))
	if on <= l.planted.AddDays(400) {
		on = c.req.Today.AddDays(-20 - r.IntN(60))
	}
	if on <= l.planted || !chance(r, 0.72) {
		return
	}
	v.measured = on
	v.dbh = geo.Length(math.Round(10 * l.dbh(on)))
	if chance(r, 0.8) {
		v.height, v.crown = tenth(l.height(on)), tenth(l.crown(on))
	}
	if v.baseRoad == 0 && chance(r, 0.08) {
		low := l.lowest(on)
		v.baseRoad, v.baseWalk = tenth(low), tenth(low*between(r, 0.85, 1.1))
	}
}

// lowest is where the foliage begins on a tree nobody has raised.
func (l *life) lowest(on scheduler.Date) float64 {
	if l.kind.conifer {
		return 0.3 + 0.08*l.height(on)
	}
	return min(0.9+0.12*l.height(on), 2.2)
}

func mixRef(ref string) int {
	h := uint64(14695981039346656037)
	for i := range len(ref) {
		h = (h ^ uint64(ref[i])) * 1099511628211
	}
	return int(h >> 2)
}
