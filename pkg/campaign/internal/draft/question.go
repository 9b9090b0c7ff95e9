package draft

import (
	"fmt"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// QuestionKind says what a question of a draft is about.
type QuestionKind string

// The kinds.
const (
	AskRole          QuestionKind = "role"
	AskConfiguration QuestionKind = "configuration"
	AskDateOrder     QuestionKind = "date_order"
	AskUnit          QuestionKind = "unit"
	AskZone          QuestionKind = "zone"
	AskEngine        QuestionKind = "engine"
	AskWeather       QuestionKind = "weather"
	AskMounting      QuestionKind = "mounting"
	AskPrimary       QuestionKind = "primary"
	AskDelta         QuestionKind = "delta"
	AskOther         QuestionKind = "other"
)

// Question is something that only the reader can know.
type Question struct {
	// ID is what an answer names; it stays the same from draft to draft.
	ID   string
	Kind QuestionKind
	// Subjects names columns ("logger A: T1"), drives or files.
	Subjects []string
	Text     string
	// Choices are the answers that can be given; empty where any can.
	Choices []string
	// Guess is the likeliest answer, empty where none is likelier.
	Guess string
}

// What a campaign takes for granted where it says nothing: the kind of driving
// that counts, and the difference in K that does not matter, about half a
// percent of full-throttle power.
const (
	DefaultPrimary = "road_middle"
	DefaultDelta   = 3.0
)

// Mountings are what may have become of the intake's probe between the
// configurations.
var Mountings = []string{"in place", "refitted", "exchanged"}

// mostRoles is how many columns are asked one by one; more are asked together.
const mostRoles = 6

// ask lists what is open.
func (s *Sketch) ask(devices []*survey.Device, told *Told, answers *answers) {
	s.askConfiguration(told)
	open := 0
	for _, d := range devices {
		for _, c := range d.Columns {
			if c.Role == survey.Undecided {
				open++
			}
		}
	}
	for _, d := range devices {
		for _, q := range d.Open {
			kind, ok := layoutKinds[q.Key]
			if !ok {
				kind = AskOther
			}
			s.Questions = append(s.Questions, Question{ID: layoutID(d.Name, q.Key), Kind: kind, Subjects: q.Files, Choices: q.Choices, Guess: q.Guess,
				Text: fmt.Sprintf("The files of %s leave open: %s.", d.Name, q.Text)})
		}
		if open > mostRoles {
			s.askRolesTogether(d)
		} else {
			s.askRoles(d)
		}
		if told.zone(d.Name) == "" && answers.zones[d.Name] == "" && !d.Zoned && d.Clock.ZoneHours != d.Clock.ZoneHours {
			s.Optional = append(s.Optional, Question{ID: "zone." + slug(d.Name), Kind: AskZone, Subjects: paths(d), Guess: "local time of the drives",
				Text: fmt.Sprintf("To which time zone was the clock of %s set? Write its distance from UTC, such as +01:00.", d.Name)})
		}
	}
	s.askWhenWarm(devices, told, answers)
	s.askOutside(devices, told)
	s.askOptional(told, answers)
}

func (s *Sketch) askConfiguration(told *Told) {
	q := Question{ID: string(AskConfiguration), Kind: AskConfiguration, Choices: []string{"before", "after"},
		Text: "Which configuration was driven? One answer can settle many: 1-3=open,4-7=duct, or 1,3,5=open,2,4=duct. Names are yours."}
	if used := s.configurations(told); len(used) > 0 {
		q.Choices = used
	}
	var numbers []string
	for i, d := range s.Drives {
		if d.Configuration == survey.Undecided {
			q.Subjects = append(q.Subjects, d.Name)
			numbers = append(numbers, fmt.Sprintf("%d is %q", i+1, d.Name))
		}
	}
	if len(q.Subjects) > 0 {
		q.Text += " Drive " + strings.Join(numbers, ", ") + "."
		s.Questions = append(s.Questions, q)
	}
}

// configurations lists those that are named, in order: the file's, then those
// of the drives.
func (s *Sketch) configurations(told *Told) []string {
	names := told.names()
	for _, d := range s.Drives {
		if d.Configuration != survey.Undecided && !slices.Contains(names, d.Configuration) {
			names = append(names, d.Configuration)
		}
	}
	return names
}

func (s *Sketch) askRoles(d *survey.Device) {
	for _, c := range d.Columns {
		if c.Role == survey.Undecided {
			s.Questions = append(s.Questions, Question{ID: roleID(d.Name, c.Name), Kind: AskRole, Subjects: []string{d.Name + ": " + c.Name},
				Choices: roleNames(), Guess: c.Guess, Text: fmt.Sprintf("Where did %q of %s sit (%s)?", c.Name, d.Name, c.Remark)})
		}
	}
}

// askRolesTogether asks for all columns of a device that are open.
func (s *Sketch) askRolesTogether(d *survey.Device) {
	q := Question{ID: "role." + slug(d.Name), Kind: AskRole, Choices: roleNames()}
	var ranges, guesses []string
	for i, c := range d.Columns {
		if c.Role == survey.Undecided {
			q.Subjects = append(q.Subjects, d.Name+": "+c.Name)
			ranges = append(ranges, fmt.Sprintf("%d, %q: %s", i+1, c.Name, c.Remark))
			guesses = append(guesses, fmt.Sprintf("%d=%s", i+1, c.Guess))
		}
	}
	if len(q.Subjects) == 0 {
		return
	}
	q.Guess = strings.Join(guesses, ",")
	q.Text = fmt.Sprintf("Where did the probes of %s sit? Answer all at once, by number or name: 1=ambient,2=intake. %s.", d.Name, strings.Join(ranges, "; "))
	s.Questions = append(s.Questions, q)
}

func paths(d *survey.Device) []string {
	var all []string
	for _, f := range d.Files {
		all = append(all, f.Path)
	}
	return all
}

// askOptional lists what a verdict can do without.
func (s *Sketch) askOptional(told *Told, answers *answers) {
	var drives []string
	for _, d := range s.Drives {
		drives = append(drives, d.Name)
	}
	add := func(key string, q Question) {
		table, name, _ := strings.Cut(key, ".")
		_, answered := answers.keys[key]
		if v, there := told.Tables[table].Keys[name]; there {
			answered = answered || v.Content != survey.Undecided
		}
		if !answered {
			q.ID = string(q.Kind)
			s.Optional = append(s.Optional, q)
		}
	}
	add("question.primary", Question{Kind: AskPrimary, Guess: DefaultPrimary, Choices: []string{"stopped", "stop_and_go", "road_slow", "road_middle", "road_fast", "full_throttle"},
		Text: "Which kind of driving is the question about? It is best declared before looking at the result."})
	add("question.delta", Question{Kind: AskDelta, Guess: quantity.Format(float64(DefaultDelta), s.Units.Of(quantity.KindTemperatureDifference), 2), Text: "How small a difference of the intake's rise would not matter to you?"})
	add("question.mounting", Question{Kind: AskMounting, Guess: Mountings[0], Choices: Mountings, Text: "Between the configurations, did the intake's probe stay where it was?"})
	add("engine.displacement", Question{Kind: AskEngine, Guess: "not described", Text: "What is the engine? For example displacement=1598 cm3,cylinders=4. Power and duct are worked out with it."})
	weather := len(answers.weather) > 0
	for _, d := range told.Drives {
		weather = weather || d.Keys["pressure"].Line+d.Keys["qnh"].Line > 0
	}
	if !weather {
		s.Optional = append(s.Optional, Question{ID: string(AskWeather), Kind: AskWeather, Subjects: drives, Guess: "standard atmosphere at the drives' altitude",
			Text: fmt.Sprintf("What was the weather? For example pressure=%s,humidity=55 %%, for all drives; single ones in the file.", s.written(quantity.KindPressure, 1008*float64(quantity.Hectopascal), 4))})
	}
}
