// Package due holds the rules that make dates: from a tree, its site and a
// policy it computes the visits the tree should have, each with its window,
// its reasons, and what the crew needs to know. It is pure: it reads no clock,
// no file and no database, and "today" is an argument. The windows and the
// texts do not change from one day to the next while the facts stay the same;
// only states, classes and scores look at today. Watering, basal
// sprouts and the yearly look along a sight line alone lapse with their growing
// season: nobody makes up for them later.
//
// The way of one tree: settle what it is (gone, not ours, not assessed, in
// training, in rotation); collect its tasks, each with its own window; bundle
// them into the fewest trips; and write each trip as a visit.
package due

import (
	"strings"
	"sync"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/growth"
)

// Engine applies one policy to trees. It is immutable, but for a pool of
// scratch memory: its methods may run from several goroutines at once.
type Engine struct {
	drafts   *sync.Pool // of *draft
	policy   scheduler.Policy
	practice scheduler.PracticeRules
	build    scheduler.StructureRules
	start    scheduler.Date // the day from which records count
	cold     bool           // the winter stops growth, and with it establishment
	care     scheduler.CareRules
	warranty int      // months
	water    []string // objectives of a watering
	cal      calendar
	species  map[string]*profile
	other    *profile // a tree whose species code is in no table
	stages   [6]scheduler.StageRule
	roads    []scheduler.RoadRule
	minutes  [len(kindOrder)]scheduler.KindMinutes
}

// profile is what the rules need of one species, made once.
type profile struct {
	species scheduler.Species
	curve   growth.Curve
	bans    []ban // closed and allowed-only seasons
	advice  []ban // check-first, stop-on-find and preferred seasons
	cutMax  geo.Length
	pace    int        // growing seasons that the growth class adds to a training interval
	droop   geo.Length // the more of wet droop and droop under snow
	storm   storm

	sanitation string // the species' flag in words

	cuts       cutTable
	smallRatio float64 // for removal in one step: the policy's or the species' own
	cutSource  string
}

// New prepares the rules of a policy. It refuses, as scheduler.Error of kind
// Invalid, a policy without working seasons, without a rule for each training
// stage, or one that leaves some species no open day in the year.
func New(p scheduler.Policy, m *growth.Model, species []scheduler.Species) (*Engine, error) {
	e := &Engine{
		policy: p, practice: p.Practice.WithDefaults(), build: p.Training.Structure.WithDefaults(), care: p.Care.WithDefaults(), warranty: p.Warranty(),
		start: p.Start(), species: make(map[string]*profile, len(species)), roads: p.Clearance.Roads,
	}
	e.policy.Clearance, e.policy.Wires = p.Clearance.WithDefaults(), p.Wires.WithDefaults()
	e.cold = coldRegion(p.Region)
	e.drafts = &sync.Pool{New: func() any { return &draft{buf: make([]byte, 0, textRoom)} }}
	var faults []scheduler.Fault
	for name, s := range map[string]scheduler.MonthSpan{"seasons.dormant": p.Seasons.Dormant, "seasons.leaf_on": p.Seasons.LeafOn} {
		if !realDay(s.From) || !realDay(s.To) {
			faults = append(faults, scheduler.Fault{Field: name, Rule: "needs a first and a last day"})
		}
	}
	for _, stage := range trained {
		i := stageIndex(stage)
		for _, r := range p.Training.Stages {
			if r.Stage == stage {
				e.stages[i] = r
			}
		}
		if e.stages[i].Seasons < 1 {
			faults = append(faults, scheduler.Fault{Field: "training.stages", Value: string(stage), Rule: "needs an interval of at least one growing season"})
		}
	}
	if len(p.Rotation.Classes) == 0 {
		faults = append(faults, scheduler.Fault{Field: "rotation.classes", Rule: "needs at least one size class"})
	}
	for _, s := range species {
		if _, fault := m.CurveUnder(p.Region, p.Growth, s); fault != nil {
			faults = append(faults, *fault)
		}
	}
	if len(faults) > 0 {
		return nil, &scheduler.Error{Kind: scheduler.Invalid, Message: "policy " + p.Name + " cannot make dates", Fields: faults}
	}
	e.cal = newCalendar(p.Seasons)
	e.minutes = minutesByRank(p.Work.Kinds)
	e.water = waterWork(&e.care)
	e.other = e.profile(m, scheduler.Species{Growth: "moderate", Decay: scheduler.DecayAverage})
	for _, s := range species {
		pr := e.profile(m, s)
		e.species[s.Code] = pr
		for _, k := range kindOrder {
			if pr.opens(k, date(2027, 1, 1)) == 0 {
				return nil, scheduler.Errorf(scheduler.Invalid, "policy %s closes every day of the year to %s of %s", p.Name, k, s.Common)
			}
		}
	}
	return e, nil
}

func realDay(d scheduler.MonthDay) bool {
	return d.Month >= 1 && d.Month <= 12 && d.Day >= 1 && d.Day <= 31
}

func (e *Engine) profile(m *growth.Model, s scheduler.Species) *profile {
	curve, _ := m.CurveUnder(e.policy.Region, e.policy.Growth, s) // New has refused what it would fault
	ratio, cutSource := smallRatio(&e.policy.Training, &s)
	cuts := newCutTable(&e.practice, ratio)
	return &profile{
		cuts: cuts, smallRatio: ratio, cutSource: cutSource,
		species: s,
		curve:   curve,
		bans:    bansOf(e.policy.Seasons.Special, s.ClosedGroup, scheduler.SeasonClosed, scheduler.SeasonAllowed),
		advice:  bansOf(e.policy.Seasons.Special, s.ClosedGroup, scheduler.SeasonCheckFirst, scheduler.SeasonStopOnFind, scheduler.SeasonPreferred),
		pace:    e.policy.Training.Pace(s.Growth),
		droop:   e.policy.Droop(&s),
		storm:   stormOf(&e.policy.Storms, &s),

		sanitation: strings.ReplaceAll(s.Sanitation, "_", " "),
		cutMax:     cuts.limit(e.policy.Training.SmallCut, s.Decay),
	}
}

// Visits returns the open visits that the tree should have now. A removed tree
// and a vacant site have none. A tree of another owner has exactly one, of
// kind inspection and state NotOurs with zero minutes, so that counts of trees
// add up. Every other tree has at least one; a second stands beside it only
// when no single trip can meet both windows.
func (e *Engine) Visits(t scheduler.Tree, s scheduler.Site, today scheduler.Date) []scheduler.Visit {
	d := e.drafts.Get().(*draft)
	d.tree, d.site = t, s
	d.e, d.t, d.s, d.today, d.stage, d.unfinished = e, &d.tree, &d.site, today, "", ""
	d.looks, d.mends = nil, nil
	d.buf, d.n, d.nr = d.buf[:0], 0, 0
	clear(d.sizes[:])
	out := d.visits()
	d.tree, d.site = scheduler.Tree{}, scheduler.Site{} // keep nothing of the caller's alive
	e.drafts.Put(d)
	return out
}

const textRoom = 6 << 10 // bytes of text an ordinary tree's visits take; more spills to the heap

// draft is the work on one tree: scratch memory that is used again for the next.
type draft struct {
	tree  scheduler.Tree
	site  scheduler.Site
	e     *Engine
	p     *profile
	t     *scheduler.Tree
	s     *scheduler.Site
	today scheduler.Date
	proj  growth.Projection
	sizes [sizeSlots]sized // sizes worked out already: the rules ask for the same few days
	stage scheduler.Stage

	unfinished string // what a tree past its training, by its record or by its years, has not reached

	buf []byte // text of every phrase, one after another

	looks, mends []string // objectives of the inspection and of the restoration among the tasks

	tasks   [maxTasks]task
	n       int
	reasons [maxReasons]reason
	nr      int
}

// sized is one day's size on the curve.
type sized struct {
	on   scheduler.Date
	done bool
	size growth.Size
}

const sizeSlots = 32

// at is the projected size on a day.
func (d *draft) at(on scheduler.Date) growth.Size {
	s := &d.sizes[(uint32(on)*2654435769)>>27] // 32 slots by the top five bits of a multiplicative hash
	if !s.done || s.on != on {
		*s = sized{on: on, done: true, size: d.proj.At(on)}
	}
	return s.size
}

// task is one kind of work with its own window, before bundling.
type task struct {
	kind     scheduler.WorkKind
	w        scheduler.Window
	class    int
	deadline scheduler.Date // a hard bound behind w.Latest: a cut, reach, warranty or legal limit; 0 for none
	need     int            // live crown the task needs at least, per cent
	skill    scheduler.Skill
	dated    bool // printed with a day and not with a season
	company  company
}

// company says how a task goes with the others of its tree.
type company uint8

const (
	shares company = iota // is bundled into the fewest trips
	joins                 // goes along with a trip that falls into its window, and moves none
	alone                 // has a trip of its own
)

// reason is a draft of scheduler.Reason, tied to its task.
type reason struct {
	rule, source string
	text         phrase
	task         int
}

const (
	maxTasks   = 12
	maxReasons = 24
)

// planned reports whether a kind is among the tasks: a tree has one of each.
func (d *draft) planned(k scheduler.WorkKind) bool {
	for i := range d.n {
		if d.tasks[i].kind == k {
			return true
		}
	}
	return false
}

// inspect adds an inspection with what it looks at; false when one is among the
// tasks already: a tree has one open visit of a kind, and whoever inspects it
// looks at all of it.
func (d *draft) inspect(t task, looks []string) (int, bool) {
	if t.kind = scheduler.Inspection; d.planned(t.kind) {
		return 0, false
	}
	d.looks = looks
	return d.add(t), true
}

// add appends a task and returns its index for because.
func (d *draft) add(t task) int {
	d.tasks[d.n] = t
	d.n++
	return d.n - 1
}

// because ties a reason to a task; what does not fit in maxReasons is a rule
// that says too much, and is dropped at the end.
func (d *draft) because(task int, rule string, text phrase, source string) {
	if d.nr == maxReasons {
		return
	}
	if source == "" {
		source = commonPractice
	}
	d.reasons[d.nr] = reason{rule: rule, source: source, text: text, task: task}
	d.nr++
}

const commonPractice = "common practice"

func (d *draft) visits() []scheduler.Visit {
	t := d.t
	if t.State == scheduler.Removed || t.State == scheduler.Vacant {
		return nil
	}
	if d.s.Owner != "" && d.s.Owner != scheduler.OwnerCity && d.s.Owner != scheduler.OwnerShared {
		return d.notOurs()
	}
	d.p = d.e.species[t.Species]
	if d.p == nil {
		d.p = d.e.other
	}
	d.proj = d.p.curve.Project(*t, d.undated())
	switch t.State {
	case scheduler.Dead:
		d.removal()
	case scheduler.Stump:
		d.stump()
	default:
		d.living()
	}
	d.prefer()
	return d.trips()
}

// undated is the day a measurement without a day is taken to be of: the day
// from which records count, so that the answer stays the same from day to day.
func (d *draft) undated() scheduler.Date {
	if e := d.e.start; !e.IsZero() && e < d.today {
		return e
	}
	return d.today
}

// living collects the tasks of a living tree.
func (d *draft) living() {
	d.settle()
	switch d.stage {
	case scheduler.StageUnknown:
		d.firstLook()
	case scheduler.StageRotation:
		d.rotation()
	default:
		d.training()
	}
	d.wires()
	d.road()
	d.walk()
	d.doseWaits()
	d.sight()
	d.young()
	d.restoration()
	d.storms()
	d.decide()
}
