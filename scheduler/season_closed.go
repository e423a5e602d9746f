package scheduler

import "slices"

// ClosedOn reports whether a closed season, or one that allows work only inside
// its span, forbids any of the kinds of work on a species of the group on day d.
func (r *SeasonRules) ClosedOn(group string, kinds []WorkKind, d Date) bool {
	for i := range r.Special {
		s := &r.Special[i]
		if s.Kind != SeasonClosed && s.Kind != SeasonAllowed {
			continue
		}
		if len(s.Groups) > 0 && !slices.Contains(s.Groups, group) {
			continue
		}
		if s.holds(d) == (s.Kind == SeasonClosed) && slices.ContainsFunc(kinds, s.Touches) {
			return true
		}
	}
	return false
}

// holds reports whether d lies in the span, which may cross New Year.
func (s *Season) holds(d Date) bool {
	t := d.Time()
	day := int(t.Month())*100 + t.Day()
	from, to := s.From.Month*100+s.From.Day, s.To.Month*100+s.To.Day
	if from <= to {
		return from <= day && day <= to
	}
	return day >= from || day <= to
}
