package scheduler

import (
	"fmt"
	"slices"
	"strings"
)

// The two matrices by which a qualified assessor rates the risk of one defect
// to one target: likelihood of failure and of impact give the likelihood of
// both; that and the consequence give the rating (ISA Best Management Practices:
// Tree Risk Assessment, and ANSI A300 Part 9). Limbround carries them to check
// what an assessor writes down; it rates no tree by itself.

// The steps of the scales, from the least up.
var (
	failures     = [...]string{"improbable", "possible", "probable", "imminent"}
	impacts      = [...]string{"very low", "low", "medium", "high"}
	consequences = [...]string{"negligible", "minor", "significant", "severe"}
	likelihoods  = [...]string{"unlikely", "somewhat likely", "likely", "very likely"}
	ratings      = [...]string{"low", "moderate", "high", "extreme"}
)

// likelihoodOf is matrix 1: a row for each likelihood of failure, a column for
// each of impact, as printed in a city's urban street tree management plan.
var likelihoodOf = [4][4]int{
	{0, 0, 0, 0},
	{0, 0, 0, 1},
	{0, 0, 1, 2},
	{0, 1, 2, 3},
}

// ratingOf is matrix 2: a row for each likelihood, a column for each consequence.
var ratingOf = [4][4]int{
	{0, 0, 0, 0},
	{0, 0, 1, 1},
	{0, 1, 2, 2},
	{0, 1, 2, 3},
}

// The sources of the two matrices.
const (
	matrix1Source = "ISA Best Management Practices, Tree Risk Assessment, matrix 1, read cell by cell as reprinted in an urban street tree management plan"
	matrix2Source = "the same, matrix 2: places of the cells from memory; the count of cells read (8 low, 4 moderate, 3 high, 1 extreme) agrees"
)

// RiskAnswer is the rating of one defect and one target over a time frame.
type RiskAnswer struct {
	Failure     string   `json:"failure"`
	Impact      string   `json:"impact"`
	Consequence string   `json:"consequence"`
	Years       int      `json:"years"`
	Likelihood  string   `json:"likelihood"` // of failure and impact together
	Rating      string   `json:"rating"`
	Class       int      `json:"class"` // work class that the rating opens: 1 for high and extreme, else 4
	Limits      []string `json:"limits"`
	Sources     []string `json:"sources"`
}

// Risk reads the two matrices. Words are as an assessor writes them, with
// spaces, hyphens or underscores; years is the time frame, 1 to 10. A word that
// is on no scale and a missing time frame are Invalid.
func Risk(failure, impact, consequence string, years int) (RiskAnswer, error) {
	var faults []Fault
	step := func(field, word string, scale []string) int {
		w := strings.ToLower(strings.Join(strings.FieldsFunc(word, func(r rune) bool { return r == ' ' || r == '_' || r == '-' }), " "))
		i := slices.Index(scale, w)
		if i < 0 {
			faults = append(faults, Fault{Field: field, Value: word, Rule: "want one of: " + strings.Join(scale, ", ")})
		}
		return max(i, 0)
	}
	f, i, c := step("failure", failure, failures[:]), step("impact", impact, impacts[:]), step("consequence", consequence, consequences[:])
	if years < 1 || years > 10 {
		faults = append(faults, Fault{Field: "years", Value: fmt.Sprint(years), Rule: "state the time frame of the rating, 1 to 10 years"})
	}
	if len(faults) > 0 {
		return RiskAnswer{}, &Error{Kind: Invalid, Message: "the rating cannot be read", Fields: faults}
	}
	l := likelihoodOf[f][i]
	r := ratingOf[l][c]
	out := RiskAnswer{
		Failure: failures[f], Impact: impacts[i], Consequence: consequences[c], Years: years, Likelihood: likelihoods[l], Rating: ratings[r], Class: 4,
		Limits: []string{
			"The likelihoods and the consequence are a qualified assessor's, judged at the tree; this only reads the matrices.",
			fmt.Sprintf("It holds for the stated %d years from the assessment, and not after a storm, a cut or digging at the roots.", years),
			"It rates one defect and one target, and says nothing of any other defect of the tree.",
			"A low rating does not say that the tree is sound; the qualified person at the tree decides.",
		},
		Sources: []string{matrix1Source, matrix2Source},
	}
	if r >= 2 {
		out.Class = 1
	}
	return out, nil
}
