package jobs

import (
	"limbround/geo/file"
	"limbround/scheduler"
)

// ImportRequest names the file and the layer.
type ImportRequest struct {
	Layer       string
	Path        string
	MappingPath string    // empty when the columns have the names of the fields
	RejectsPath string    // empty for the input's path with .rejects.csv
	Box         *file.Box // of a street extract: keep only what touches it
	DryRun      bool      // check everything, change nothing
	Actor       string
}

// ImportResult is what became of the rows: read = accepted + rejected, and
// accepted = new + changed + unchanged + merged.
type ImportResult struct {
	Layer       string             `json:"layer"`
	File        string             `json:"file"`
	Batch       int64              `json:"batch"` // 0 when nothing was stored
	DryRun      bool               `json:"dry_run"`
	Held        bool               `json:"held"` // staged and checked, waits to be applied
	SRID        int                `json:"srid"` // metric system of the city
	Read        int64              `json:"read"`
	Accepted    int64              `json:"accepted"`
	Rejected    int64              `json:"rejected"`
	New         int64              `json:"new"`
	Changed     int64              `json:"changed"`
	Unchanged   int64              `json:"unchanged"`
	Merged      int64              `json:"merged"`
	RejectsFile string             `json:"rejects_file"`
	ByField     map[string]int64   `json:"rejects_by_field,omitempty"` // broken rules by field
	Faults      []scheduler.Fault  `json:"faults,omitempty"`           // the first few
	Ignored     []string           `json:"ignored_columns,omitempty"`
	Merges      []scheduler.Merge  `json:"merged_into,omitempty"`
	Examples    []scheduler.Change `json:"examples,omitempty"`
	Notes       []string           `json:"notes,omitempty"`
}
