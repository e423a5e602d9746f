package scheduler

import (
	"fmt"
	"slices"
)

// StormLoad is what a storm lays on branches until they break.
type StormLoad string

// The loads, each with a rating of its own.
const (
	LoadIce      StormLoad = "ice"
	LoadWetSnow  StormLoad = "wet_snow"
	LoadLeafSnow StormLoad = "leaf_snow" // snow on a crown in leaf
)

var stormLoads = []StormLoad{LoadIce, LoadWetSnow, LoadLeafSnow}

// StormRules name the weather that a city has, and the ratings it holds to be
// right where published ones disagree.
type StormRules struct {
	Weather []StormLoad    `json:"weather,omitempty" yaml:"weather"` // empty: none of them
	Ratings []StormRatings `json:"ratings,omitempty" yaml:"ratings"`
	Source  string         `json:"source,omitempty" yaml:"source"` // of Weather
}

// StormRatings stand in place of a species' own; an empty one leaves it as it is.
type StormRatings struct {
	Species  string `json:"species" yaml:"species"` // code
	Ice      Rating `json:"ice,omitempty" yaml:"ice"`
	WetSnow  Rating `json:"wet_snow,omitempty" yaml:"wet_snow"`
	LeafSnow Rating `json:"leaf_snow,omitempty" yaml:"leaf_snow"`
	Source   string `json:"source" yaml:"source"`
}

// Of is the rating for a load.
func (r *StormRatings) Of(w StormLoad) Rating {
	switch w {
	case LoadIce:
		return r.Ice
	case LoadWetSnow:
		return r.WetSnow
	case LoadLeafSnow:
		return r.LeafSnow
	}
	return ""
}

// For is the city's own line about a species, nil when it has none.
func (r *StormRules) For(species string) *StormRatings {
	if i := slices.IndexFunc(r.Ratings, func(l StormRatings) bool { return l.Species == species }); i >= 0 {
		return &r.Ratings[i]
	}
	return nil
}

func (r *StormRules) check(d *policyDecoder) {
	for i, w := range r.Weather {
		word(d, fmt.Sprintf("storms.weather[%d]", i), w, stormLoads)
	}
	if _, given := d.lines["storms.weather"]; given {
		d.text("storms.source", r.Source)
	}
	for i := range r.Ratings {
		l := &r.Ratings[i]
		at := fmt.Sprintf("storms.ratings[%d]", i)
		d.text(at+".species", l.Species)
		if r.For(l.Species) != l {
			d.refuse(at+".species", l.Species, "has a line above already")
		}
		for _, w := range stormLoads {
			if l.Of(w) != "" {
				word(d, at+"."+string(w), l.Of(w), []Rating{RatingLow, RatingMedium, RatingHigh})
			}
		}
		d.text(at+".source", l.Source)
	}
}
