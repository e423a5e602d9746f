package storetest

import (
	"slices"
	"strings"

	"limbround/scheduler"
)

// readCrew reads the words of a crew's skills and tickets into what they mean.
func (s *state) readCrew(j *judged) {
	if ref, there := j.f["depot_ref"].(string); there || !s.knows("crews", j.ref) {
		if !s.knows("depots", ref) {
			j.fault("depot_ref", ref, "a crew starts at a depot that has been imported")
		}
	}
	if text, there := j.f["skills"].(string); there {
		delete(j.f, "skills")
		if skills := readSkills(j, text); len(skills) > 0 {
			j.f["skills"] = skills
		}
	}
	if text, there := j.f["tickets"].(string); there {
		j.f["tickets"] = readTickets(j, text)
	} else if !s.knows("crews", j.ref) {
		j.f["tickets"] = []scheduler.Ticket{}
	}
}

func (s *state) knows(layer, ref string) bool {
	_, ok := s.itemNamed(layer, ref)
	return ok
}

// standing is the default of a field as it is kept.
func standing(field string, v any) any {
	if field == "skills" {
		return []scheduler.Skill{scheduler.Ground}
	}
	return v
}

func readSkills(j *judged, text string) []scheduler.Skill {
	words := strings.Fields(strings.NewReplacer(",", " ", ";", " ").Replace(strings.ToLower(text)))
	var out []scheduler.Skill
	for _, k := range []scheduler.Skill{scheduler.Ground, scheduler.Lift, scheduler.LineClearance} {
		if slices.Contains(words, string(k)) {
			out = append(out, k)
			words = slices.DeleteFunc(words, func(w string) bool { return w == string(k) })
		}
	}
	for _, w := range words {
		j.fault("skills", w, "a skill is one of ground, lift, line_clearance")
	}
	return out
}

func readTickets(j *judged, text string) []scheduler.Ticket {
	out := []scheduler.Ticket{}
	for part := range strings.SplitSeq(text, ";") {
		part = strings.TrimSpace(part)
		what, on, _ := strings.Cut(part, "=")
		expires, err := scheduler.ParseDate(strings.TrimSpace(on))
		switch what = strings.TrimSpace(what); {
		case part == "":
		case what == "" || err != nil:
			j.fault("tickets", part, "a ticket is written name=YYYY-MM-DD with a day that exists, several parted by semicolons")
		default:
			out = append(out, scheduler.Ticket{What: what, Expires: expires})
		}
	}
	return out
}
