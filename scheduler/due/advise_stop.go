package due

import "limbround/scheduler"

// stopped answers Stop for what must not be cut today by this crew.
func (a *adviser) stopped() bool {
	for _, sign := range StopSigns() {
		if contains(a.q.Signs, sign) {
			what, call := stopText(sign)
			a.out.Call = append(a.out.Call, call)
			a.because("advise.stop", fixed(what), commonPractice)
		}
	}
	a.wires()
	if len(a.out.Call) == 0 {
		return false
	}
	a.out.Advice = Stop
	s := a.d.say("STOP, do not cut; call: ").str(a.out.Call[0])
	for _, c := range a.out.Call[1:] {
		s = s.str("; ").str(c)
	}
	a.out.Sentence = a.text(s.str(".").end())
	return true
}

// stopText says why a sign stops the work and whom to call.
func stopText(s StopSign) (what, call string) {
	switch s {
	case WireContact:
		return "A branch or the tree touches a line: the tree and the ground around it count as energised; nobody touches or comes near.", "the utility"
	case CrackAtUnion:
		return "A crack at a union can open under a saw or a climber: keep people from under it.", "the supervisor and a qualified assessor"
	case Hanger:
		return "A hanging branch falls without warning: keep people from under it; making safe is work of its own.", "the make-safe crew"
	case SoilLifting:
		return "Lifting soil says that the roots are moving: keep out of the fall zone, load the tree no further.", "the supervisor and a qualified assessor"
	case DecayAtBase:
		return "Decay at the base is not judged from the ground by a pruning crew: do not climb, do not load the tree.", "a qualified assessor"
	case FungusAtBase:
		return "Fruiting bodies at the base point to decay below: do not climb, do not load the tree.", "a qualified assessor"
	case Bees:
		return "Bees or wasps in the tree: leave the work zone.", "the supervisor"
	default:
		return "An active nest: the work stops where it is.", "the supervisor, who asks the wildlife agency"
	}
}

// wires holds the approach distance of people who are not qualified for
// line-clearance. A distance seen from the ground beats the map; the map, not
// verified on site, counts until somebody has looked.
func (a *adviser) wires() {
	d, q := a.d, a.q
	rule := &d.e.policy.Wires
	near, how := q.WireGap > 0 && q.WireGap < rule.Approach, "An overhead line was seen within "
	if q.WireGap == 0 {
		near, how = a.mapWire(), "By the map, not verified on site, an overhead line may be within "
	}
	if !near {
		return
	}
	s := d.say(how).height(rule.Approach).str(" of the cut: no person, tool or falling piece comes within that distance unless line-clearance qualified")
	unknown := d.s.WireClass == scheduler.WireUnknown || d.s.WireClass == "" || d.s.WireClass == scheduler.WireNone
	switch {
	case !q.LineCrew:
		a.out.Call = append(a.out.Call, "a line-clearance qualified crew, through the utility")
	case unknown:
		a.out.Call = append(a.out.Call, "the utility, for the voltage")
		s = s.str("; a line of unknown voltage counts as energised and nothing comes near until the utility answers")
	default:
		s = s.str("; the qualified crew keeps to its own rules")
	}
	a.because("advise.wire", s.str(".").end(), rule.Source)
}

// mapWire reports whether the line on the map may be within reach of the cut.
func (a *adviser) mapWire() bool {
	d, q := a.d, a.q
	if !d.wireNear(q.On) {
		return false
	}
	if !d.s.WireHeight.Known() {
		return true
	}
	top := q.Height
	if upright(a.w.What) || top == 0 {
		top = max(top, d.at(q.On).Height)
	}
	return top <= 0 || top > d.s.WireHeight-d.e.policy.Wires.Approach
}
