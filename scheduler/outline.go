package scheduler

import "limbround/geo"

// Outline is the shape of a district, simplified for drawing.
type Outline struct {
	Ref   string
	Name  string
	Parts [][][]geo.Point // parts, each an outer ring and its holes; city metric CRS
}
