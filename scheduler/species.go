package scheduler

import "limbround/geo"

// GrowthHabit is the way a species builds its crown. It decides whether the
// one-leader rule of training applies.
type GrowthHabit string

// The growth habits.
const (
	Excurrent GrowthHabit = "excurrent"  // one leader to the top by nature (sweetgum, many oaks when young)
	Decurrent GrowthHabit = "decurrent"  // spreading; a leader must be chosen and kept (elm, zelkova, maple)
	Conifer   GrowthHabit = "conifer"    // never cut the leader
	Columnar  GrowthHabit = "columnar"   // narrow; several upright stems are normal
	Weeping   GrowthHabit = "weeping"    // branches hang; raising is continual
	MultiStem GrowthHabit = "multi_stem" // several stems from the ground by intent
	Palm      GrowthHabit = "palm"       // dead fronds and fruit only
	Pollard   GrowthHabit = "pollard"    // its cycle is never skipped
	Small     GrowthHabit = "small"      // small ornamental, may keep two tops
)

// LeaderRule reports whether the species is trained to one dominant leader.
func (h GrowthHabit) LeaderRule() bool { return h == Excurrent || h == Decurrent || h == "" }

// Rating is a published three-step susceptibility; the empty rating is "not rated".
type Rating string

// The ratings.
const (
	RatingLow    Rating = "low"
	RatingMedium Rating = "medium"
	RatingHigh   Rating = "high"
)

// DecayClass tells how well a species walls off decay behind a cut.
type DecayClass string

// The decay classes. A weak compartmentaliser is judged one row stricter in the cut table.
const (
	DecayStrong  DecayClass = "strong"
	DecayAverage DecayClass = "average"
	DecayWeak    DecayClass = "weak"
)

// Species holds the traits of one species that the rules use.
type Species struct {
	Code         string      `json:"code"`       // short key, for example "ACRU"
	Scientific   string      `json:"scientific"` // Genus species
	Common       string      `json:"common"`
	Synonyms     []string    `json:"synonyms,omitempty"`
	Habit        GrowthHabit `json:"habit"`
	Decay        DecayClass  `json:"decay"`
	Ice          Rating      `json:"ice,omitempty"`      // bare-branch ice load
	WetSnow      Rating      `json:"wet_snow,omitempty"` // wet snow on bare branches
	LeafSnow     Rating      `json:"leaf_snow,omitempty"`
	Droop        geo.Length  `json:"droop_mm"`                // how far low limbs sink when wet and in leaf
	MatureHeight geo.Length  `json:"mature_height_mm"`        // typical street-grown height
	Growth       string      `json:"growth"`                  // slow, moderate, fast: the fallback curve's class
	Sprouts      bool        `json:"basal_sprouts,omitempty"` // sprouts from the base or the rootstock when young
	Sanitation   string      `json:"sanitation,omitempty"`
	SmallRatio   float64     `json:"small_ratio,omitempty"`  // of a branch to its parent stem, up to which it goes in one step; 0 for the policy's
	ClosedGroup  string      `json:"closed_group,omitempty"` // group named by the policy's closed seasons: oak, elm, fire_blight ...
}

// Genus is the first word of the scientific name.
func (s *Species) Genus() string {
	for i := range len(s.Scientific) {
		if s.Scientific[i] == ' ' {
			return s.Scientific[:i]
		}
	}
	return s.Scientific
}
