package scheduler

import "fmt"

// FollowUpOf is the table of the codes: what a visit of the lead kind that could
// not be done, or not to the end, on the given day sets for the next one. skill is
// what the visit was planned with. The visit itself always stays open.
//
//	car in the way, signs missing   open; signs are posted again, with their lead time
//	nest, resident or dog, weather  held until a recheck date
//	wire                            held for the line's owner; then line-clearance crew
//	needs lift or skill             open, for the next dearer crew
//	tree gone, wrong species/place  held until an inspection, which opens
//	dead or hazard                  held until made safe or taken down; making safe opens at once
//	dose reached                    held until the next growing season's dose
//	ran out of day                  open, on top of the next day's list
func FollowUpOf(code CouldNot, lead WorkKind, skill Skill, on Date, rules FollowUpRules, leafOn MonthSpan) FollowUp {
	rules = rules.WithDefaults()
	f := FollowUp{Code: code, Kind: lead, SetOn: on, Skill: Ground}
	switch code {
	case CarInTheWay:
		f.Caution = fmt.Sprintf("A parked car was in the way on %s: post parking signs again, %d days ahead or as the local code says.", on, rules.Signs)
	case SignsMissing:
		f.Caution = fmt.Sprintf("Parking signs were missing on %s: post them again with the full lead time, %d days or as the local code says.", on, rules.Signs)
	case NestFound:
		f.Kind, f.Until = "", on.AddDays(rules.Nest)
		f.Hold = fmt.Sprintf("nest found on %s, to be looked at again", on)
		f.Caution = fmt.Sprintf("A nest was found on %s: look before any cut, stop if it is in use.", on)
	case WireClose:
		f.Kind, f.Until, f.Skill = "", on.AddDays(rules.Utility), LineClearance
		f.Hold = fmt.Sprintf("overhead line, reported on %s; the line's owner is to answer", on)
		f.Caution = "Overhead line: no person, tool or falling piece of an unqualified crew within 10 ft (29 CFR 1910.333)."
	case NeedsLift:
		f.Skill = nextSkill(skill)
		f.Caution = fmt.Sprintf("The crew of %s could not reach the work: it needs a lift or another skill.", on)
	case Weather:
		f.Until, f.First = on.AddDays(rules.Weather), true
		f.Hold = fmt.Sprintf("weather on %s", on)
	case ResidentOrDog:
		f.Until = on.AddDays(rules.Resident)
		f.Hold = fmt.Sprintf("resident or dog on %s, the office calls", on)
		f.Caution = fmt.Sprintf("Resident or dog on %s: see the office's note before entering.", on)
	case TreeGone:
		f.Kind, f.LiftedBy = "", Inspection
		f.Hold = fmt.Sprintf("tree not found on %s, the site is to be checked", on)
	case WrongSpecies:
		f.Kind, f.LiftedBy = "", Inspection
		f.Hold = fmt.Sprintf("species or place was wrong on %s, the inventory is to be corrected", on)
	case DeadOrHazard:
		f.Kind, f.LiftedBy = "", MakeSafe
		f.Hold = fmt.Sprintf("dead or hazardous on %s, to be made safe first", on)
	case DoseReached:
		f.Kind, f.Until = "", leafOn.leavesDown(leafOn.DoseSeason(on))
		f.Hold = fmt.Sprintf("live crown for the growing season %s is used up", leafOn.SeasonName(leafOn.DoseSeason(on)))
	case RanOutOfDay:
		f.First = true
	}
	return f
}

func nextSkill(s Skill) Skill {
	if s.rank() < Lift.rank() {
		return Lift
	}
	return LineClearance
}
