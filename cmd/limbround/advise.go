package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/due"
	"limbround/scheduler/jobs"
)

type adviseCmd struct {
	Tree   string `help:"The city's number of a tree on record; its facts and the rules in force count." xor:"whose" required:"" group:"Tree"`
	Letter string `help:"Watch item of that tree: fills in the branch." group:"Tree"`

	Species string  `help:"Code, scientific or common name of a tree that is not on record; needs --policy." xor:"whose" required:"" group:"Tree"`
	Policy  string  `help:"Preset or policy file whose rules count." group:"Tree"`
	Region  string  `help:"Climate region of the growth curves, instead of the policy's." group:"Tree"`
	DBH     float64 `name:"dbh" help:"Trunk at breast height, cm." placeholder:"CM" group:"Tree"`
	Age     float64 `help:"Years since planting, when the dbh was not measured." placeholder:"YEARS" group:"Tree"`
	Tall    float64 `name:"tree-height" help:"Height of the tree, m." placeholder:"M" group:"Tree"`
	Vigour  string  `help:"good, fair or poor." group:"Tree"`
	Stage   string  `help:"Training stage as recorded: establishing, leader, temporaries, raising, rotation." group:"Tree"`

	adviseBranch `embed:"" group:"Branch"`
}

// adviseBranch are the flags about the branch, in the units of a crew leader's tape.
type adviseBranch struct {
	Role     string         `help:"What the branch is: ${roles}." placeholder:"ROLE"`
	On       scheduler.Date `help:"Day of the cut; today when empty." placeholder:"DATE"`
	Diameter int            `help:"Just beyond the union, mm." placeholder:"MM"`
	Stem     int            `help:"Parent stem just above the union, mm." placeholder:"MM"`
	Height   float64        `help:"Height of the attachment, m." placeholder:"M"`
	Side     string         `help:"road, walk, up_street or down_street."`
	Attitude string         `help:"upright, spreading or drooping."`
	Bark     bool           `name:"included-bark" help:"Bark is included in the union."`
	Gap      int            `help:"To the union that it will press on, mm." placeholder:"MM"`
	Contact  int            `help:"Length over which it rubs, mm." placeholder:"MM"`
	Lateral  int            `help:"Largest side branch it could be reduced to, mm." placeholder:"MM"`
	Same     bool           `name:"same-height" help:"Another large cut stands at this height."`
	Reason   string         `help:"Why a cut of more than 50 mm is needed."`
	Share    int            `help:"Share of the live crown it carries, per cent." placeholder:"PCT"`
	Dose     int            `name:"dose-used" help:"Live crown taken this season, per cent." placeholder:"PCT"`
	SideDose int            `name:"side-used" help:"Of that, from this side or leader, per cent." placeholder:"PCT"`
	Reduced  scheduler.Date `name:"reduced-on" help:"Day of its last reduction." placeholder:"DATE"`
	Part     int            `name:"reduced-by" help:"Foliage that the reduction took, per cent of its own." placeholder:"PCT"`
	Next     scheduler.Date `name:"next-visit" help:"Next visit; the rules' own when empty." placeholder:"DATE"`
	Sign     []string       `help:"What was seen that stops the work: ${signs}." placeholder:"SIGN"`
	WireGap  float64        `help:"Distance to the nearest overhead line as seen from the ground, m." placeholder:"M"`
	LineCrew bool           `help:"Line-clearance qualified people do the work."`
	Urgent   bool           `name:"emergency" help:"The cut cannot wait for an open season."`
	Approver string         `help:"Who approved the emergency cut."`
}

func (b *adviseBranch) question() due.Branch {
	q := due.Branch{
		Role: due.BranchRole(b.Role), On: b.On, Diameter: geo.Length(b.Diameter), Stem: geo.Length(b.Stem), Height: geo.Metres(b.Height),
		Side: scheduler.Side(b.Side), Attitude: due.Attitude(b.Attitude), IncludedBark: b.Bark, Gap: geo.Length(b.Gap), Contact: geo.Length(b.Contact),
		Lateral: geo.Length(b.Lateral), SameHeight: b.Same, Stated: b.Reason, Share: b.Share, DoseUsed: b.Dose, SideUsed: b.SideDose,
		ReducedOn: b.Reduced, ReducedPct: b.Part, NextVisit: b.Next, WireGap: geo.Metres(b.WireGap), LineCrew: b.LineCrew,
		Emergency: b.Urgent, Approver: b.Approver,
	}
	for _, s := range b.Sign {
		q.Signs = append(q.Signs, due.StopSign(s))
	}
	return q
}

// Run answers about one branch. Without a tree on record it needs no database.
func (c *adviseCmd) Run(ctx context.Context, a *app) error {
	q := jobs.AdviseRequest{
		Tree: c.Tree, Letter: c.Letter, Species: c.Species, DBH: geo.Centimetres(c.DBH), Age: c.Age, Height: geo.Metres(c.Tall),
		Vigour: scheduler.Vigour(c.Vigour), Stage: scheduler.Stage(c.Stage), Branch: c.question(),
	}
	res, err := c.answer(ctx, a, q)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) { adviceText(w, &res) })
}

func (c *adviseCmd) answer(ctx context.Context, a *app, q jobs.AdviseRequest) (jobs.AdviseResult, error) {
	if q.Tree != "" {
		d, err := a.ready(ctx)
		if err != nil {
			return jobs.AdviseResult{}, err
		}
		defer d.Close()
		return jobs.Advise{Store: d, Now: a.now}.Run(ctx, q)
	}
	p, err := presetOrFile(c.Policy)
	if err != nil {
		return jobs.AdviseResult{}, err
	}
	if c.Region != "" {
		p.Region = c.Region
	}
	if q.Branch.On.IsZero() {
		q.Branch.On = scheduler.DateOf(a.now())
	}
	species, err := scheduler.SpeciesTable()
	if err != nil {
		return jobs.AdviseResult{}, err
	}
	return jobs.AdviseAlone(q, p, species)
}

// presetOrFile reads the policy of a preset's name or of a file.
func presetOrFile(name string) (scheduler.Policy, error) {
	if name == "" {
		e := scheduler.Errorf(scheduler.Invalid, "policy: a tree that is not on record needs the rules to go by")
		e.Hint = "--policy with a file or one of: " + strings.Join(scheduler.Presets(), ", ")
		return scheduler.Policy{}, e
	}
	src, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		if src, err = scheduler.Preset(name); err != nil {
			return scheduler.Policy{}, err
		}
	}
	if err != nil {
		return scheduler.Policy{}, scheduler.Wrap(scheduler.Invalid, "read policy file", err)
	}
	return scheduler.ParsePolicy(src)
}

// wordList is a list of words in a sentence.
func wordList[T ~string](list []T) string {
	words := make([]string, len(list))
	for i, w := range list {
		words[i] = string(w)
	}
	return strings.Join(words, ", ")
}

// adviceText prints the advice as a crew leader reads it.
func adviceText(w io.Writer, r *jobs.AdviseResult) {
	fmt.Fprintln(w, r.Sentence)
	for _, s := range r.Steps {
		fmt.Fprintf(w, "  %s: %s\n", s.Season, s.Do)
	}
	fmt.Fprintf(w, "live crown: at most %d %%, used %d %%, left %d %% (this side %d %%); this cut takes %d %%\n", r.DoseLimit, r.DoseUsed, r.DoseLeft, r.SideLeft, r.Take)
	fmt.Fprintf(w, "cut table: %s\n", r.Row)
	for _, reason := range r.Reasons {
		fmt.Fprintf(w, "- %s (%s)\n", reason.Text, reason.Source)
	}
	fmt.Fprintln(w, r.Foot)
}
