package scheduler

import (
	"math"

	"limbround/geo"
)

// Distance is how far persons without line-clearance qualification, their
// tools and falling pieces stay off a line of so many volts to ground: the
// policy's approach distance up to 50 kV, and 4 in more for every 10 kV above
// (29 CFR 1910.333(c)(3)(i), from memory; the same figures stand in the
// definition of line-clearance tree trimming in 1910.269). The rule does not
// say whether a part of 10 kV counts; here it counts in full. A line of unknown
// voltage, 0, has the distance of the first step: nothing at all comes near it
// before the utility has answered.
func (r WireRules) Distance(volts int) geo.Length {
	steps := 0
	if over := volts - 50_000; over > 0 {
		steps = (over + 9_999) / 10_000
	}
	return r.Approach + geo.Length(math.Ceil(float64(steps)*4*25.4))
}
