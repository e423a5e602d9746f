package scheduler

// Start is the day from which the rules count a tree's records: a tree without
// one has its first look spread from here, and one planted before is not
// assessed. A new version of a policy keeps it.
func (p *Policy) Start() Date {
	if !p.FirstLook.From.IsZero() {
		return p.FirstLook.From
	}
	return p.Effective
}

// CountFrom carries over the day of effect of the first policy that the city
// adopted, unless the policy names a day of its own: adopting a new version
// alone must not put off the first looks that are waiting.
func (p *Policy) CountFrom(first Date) {
	if p.FirstLook.From.IsZero() && !first.IsZero() {
		p.FirstLook.From = min(first, p.Effective)
	}
}
