package main

import (
	"strings"
	"testing"
)

func TestPlainTrees(t *testing.T) {
	in := "DbaseID,Region,ScientificName,Age,DBH (cm),TreeHt (m)\n1,NoEast,Quercus palustris,-1,24.5,9\n2,MidWst,Malus sp. ,0,3,-1\n"
	var out strings.Builder
	if err := plainTrees(strings.NewReader(in), &out); err != nil {
		t.Fatal(err)
	}
	if want := "region,species,age,dbh_cm,height_m\nNoEast,Quercus palustris,,24.5,9\nMidWst,Malus sp.,0,3,\n"; out.String() != want {
		t.Errorf("got\n%s\nwant\n%s", out.String(), want)
	}
	if err := plainTrees(strings.NewReader("Region,Age\n"), &out); err == nil || !strings.Contains(err.Error(), "ScientificName") {
		t.Errorf("a table without species: %v", err)
	}
}
