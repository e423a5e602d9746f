package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// Verdict is the advice on one branch in a word.
type Verdict string

// The verdicts. Hold is to keep a stem as lower tier for good, reduced again at
// every visit; Stop is to cut nothing and to call.
const (
	Keep     Verdict = "keep"
	Reduce   Verdict = "reduce"
	Remove   Verdict = "remove"
	TwoSteps Verdict = "two_steps"
	HoldStem Verdict = "hold"
	Stop     Verdict = "stop"
)

// Who is asked before a cut.
const (
	AskSupervisor = "supervisor"
	AskAssessor   = "qualified assessor"
)

// Advice is the answer about one branch. The shares of live crown are of the
// whole tree; dose_used and dose_left are as they stand before the cut.
type Advice struct {
	Advice   Verdict `json:"advice"`
	Sentence string  `json:"sentence"`
	Today    bool    `json:"today"`         // something may be cut on the day asked about
	Ask      string  `json:"ask,omitempty"` // who decides before anything is cut

	Call         []string       `json:"call"` // with Stop: whom
	Opens        scheduler.Date `json:"opens"`
	Unfinished   string         `json:"unfinished,omitempty"`
	Steps        []AdviceStep   `json:"steps"`
	ReduceTo     geo.Length     `json:"reduce_to_mm"` // least side branch to reduce to, 0 for none
	ReducePart   int            `json:"reduce_pct"`   // of the stem's own foliage, today
	DoseLimit    int            `json:"dose_limit_pct"`
	DoseUsed     int            `json:"dose_used_pct"`
	DoseLeft     int            `json:"dose_left_pct"`
	SideUsed     int            `json:"side_used_pct"`
	SideLeft     int            `json:"side_left_pct"`
	Share        int            `json:"share_pct"` // of the live crown that the whole branch carries
	ShareGuessed bool           `json:"share_estimated"`
	Take         int            `json:"take_pct"` // live crown that the cut takes today

	CutNow    geo.Length     `json:"cut_now_mm"`
	CutNext   geo.Length     `json:"cut_next_visit_mm"` // null without a growth curve
	RatioNow  int            `json:"ratio_now_pct"`
	RatioNext int            `json:"ratio_next_visit_pct"`
	NextVisit scheduler.Date `json:"next_visit"`
	CloseNow  Seasons        `json:"seasons_to_close_now"`
	CloseNext Seasons        `json:"seasons_to_close_next_visit"`
	Presses   *PressYears    `json:"presses,omitempty"` // when it will press on the union
	Row       string         `json:"cut_table_row"`

	Reasons []scheduler.Reason `json:"reasons"`
	Foot    string             `json:"foot"`
}

// AdviceStep is one of two steps with the season it belongs to.
type AdviceStep struct {
	Do     string         `json:"do"`
	Season string         `json:"season"`
	From   scheduler.Date `json:"from"`
	To     scheduler.Date `json:"to"`
}

// Seasons is a range of growing seasons; To is 0 when nothing bounds it.
type Seasons struct {
	From int `json:"from"`
	To   int `json:"to"`
}

// PressYears is the year in which two stems touch, with the years between
// which it may fall; a zero year lies beyond the years looked at.
type PressYears struct {
	Year     int `json:"year"`
	Earliest int `json:"earliest"`
	Latest   int `json:"latest"`
}

// adviceFoot ends every answer.
const adviceFoot = "The qualified person at the tree decides; local codes apply; this answer does not say that the tree is sound."
