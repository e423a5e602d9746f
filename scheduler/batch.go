package scheduler

// Diff is what a staged batch would do to the database: how many rows are new,
// changed, unchanged or merged, and which rows broke a rule that only the
// database can see. Rows with faults have left the stage, so that
//
//	staged rows = New + Changed + Unchanged + Merged + distinct lines of Faults
type Diff struct {
	New        int      `json:"new"`
	Changed    int      `json:"changed"`
	Unchanged  int      `json:"unchanged"`
	Merged     int      `json:"merged"` // rows that say the same thing as another row or an existing tree
	Faults     []Fault  `json:"faults,omitempty"`
	MergedInto []Merge  `json:"merged_into,omitempty"`
	Examples   []Change `json:"examples,omitempty"` // a few changed fields, for a person to look at before applying
}

// Merge names a row that was folded into another one.
type Merge struct {
	Line int    `json:"line"`
	Ref  string `json:"ref"`
	Into string `json:"into"` // ref of the row or record that stands for both
	Why  string `json:"why"`  // "same position and species, 0.4 m apart"
}

// Change is one field of one row that a batch would change.
type Change struct {
	Line   int    `json:"line"`
	Ref    string `json:"ref"`
	Field  string `json:"field"`
	Before string `json:"before"`
	After  string `json:"after"`
}

// BatchCounts are the totals kept with an applied batch.
// Read = Accepted + Rejected; Accepted includes Merged and Unchanged.
type BatchCounts struct {
	Read      int64 `json:"read"`
	Accepted  int64 `json:"accepted"`
	Rejected  int64 `json:"rejected"`
	Merged    int64 `json:"merged"`
	Unchanged int64 `json:"unchanged"`
}

// UndoResult says what taking a batch back did: rows the batch had made are
// removed, rows it had changed are as they were before.
type UndoResult struct {
	Batch    int64  `json:"batch"`
	Layer    string `json:"layer"`
	Removed  int    `json:"removed"`
	Restored int    `json:"restored"`
}
