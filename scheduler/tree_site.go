package scheduler

// TreeSite is a tree with the facts of the place it stands on.
type TreeSite struct {
	Tree Tree `json:"tree"`
	Site Site `json:"site"`
}

// TreeFilter takes trees that match all of its set fields.
type TreeFilter struct {
	District string
	Section  string
	Species  string // code
	State    TreeState
	Stage    Stage
	Text     string // beginning of the tree's number, or part of the address
}
