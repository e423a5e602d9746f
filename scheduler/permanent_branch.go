package scheduler

import "limbround/geo"

// Attitude is the way a branch leaves the trunk.
type Attitude string

// The attitudes.
const (
	AttitudeSpreading    Attitude = "spreading"           // level or a little up: stays where it is
	AttitudeDrooping     Attitude = "drooping"            // sinks as it lengthens
	AttitudeUpright      Attitude = "upright"             // steep, beside the trunk
	AttitudeIntoScaffold Attitude = "grows_into_scaffold" // a low limb that grows up among the scaffold branches
)

// PermanentBranch is what a work record may say of the lowest permanent branch
// beside its height. The record keeps it.
type PermanentBranch struct {
	PermanentSide     Side       `json:"lowest_permanent_side,omitempty"`
	PermanentDiameter geo.Length `json:"lowest_permanent_diameter_mm,omitempty"` // 0 or negative: not taken
	PermanentAttitude Attitude   `json:"lowest_permanent_attitude,omitempty"`
}

// candidate reports whether the branch may stay for good: a low limb that grows
// up into the scaffold is none (common practice).
func (b *PermanentBranch) candidate() bool { return b.PermanentAttitude != AttitudeIntoScaffold }

func (b *PermanentBranch) check(c *checker, height geo.Length) {
	if s := b.PermanentSide; s != "" && !s.ofTree() {
		c.add("lowest_permanent_side", string(s), "the side is road, walk, up_street, down_street, left or right")
	}
	c.length("lowest_permanent_diameter_mm", b.PermanentDiameter, geo.Metre)
	if a := b.PermanentAttitude; a != "" && !known(a, AttitudeSpreading, AttitudeDrooping, AttitudeUpright, AttitudeIntoScaffold) {
		c.add("lowest_permanent_attitude", string(a), "the attitude is spreading, drooping, upright or grows_into_scaffold")
	}
	if height <= 0 && (b.PermanentSide != "" || b.PermanentDiameter > 0 || b.PermanentAttitude != "") {
		c.add("lowest_permanent_mm", "", "a lowest permanent branch is recorded with the height at which it attaches")
	}
}

func (s Side) ofTree() bool {
	return known(s, SideRoad, SideWalk, SideUpStreet, SideDownStreet, SideLeft, SideRight)
}
