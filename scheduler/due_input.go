package scheduler

// DueInput is one tree as the due pass sees it.
type DueInput struct {
	Tree      Tree // with its open watch items
	Site      Site
	FollowUps []FollowUp // what earlier records left standing
}
