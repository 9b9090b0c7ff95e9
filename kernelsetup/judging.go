package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/document"
	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

var verdictPages = outputKind{command: "verdict", inFolder: ".html", ours: document.WrittenHere}

func runVerdict(f *flag.FlagSet, args []string) error {
	json := asJSON(f)
	before := f.String("before", "", "the `NAME` of the configuration before the change; default: what the campaign says, or the first of three and more")
	after := f.String("after", "", "the `NAME` of the one after it")
	primary := f.String("primary", "", "the `ID` of the kind of driving that counts: "+strings.Join(document.DefaultStrata(), ", "))
	delta := differenceFlag(f, "delta", "a `DIFFERENCE` that does not matter to you, such as 3K or 5F; a plain number is in the\ncampaign's unit, else in K; default: the campaign's, or 3K")
	out := addOut(f, "`PAGE` is a file for the answer as a web page of its own; a file that is there is\nreplaced only if this command wrote it")
	paths, err := parse(f, args, 1, 1, "one campaign: a file that ends in .toml, or its folder")
	if err != nil {
		return err
	}
	switch {
	case *primary != "" && !slices.Contains(document.DefaultStrata(), *primary):
		return &wrongUse{fmt.Sprintf("-primary %q is none of %s", *primary, strings.Join(document.DefaultStrata(), ", "))}
	case (*before == "") != (*after == ""):
		return &wrongUse{"-before and -after go together"}
	}
	path, ok := campaign.FileAt(paths[0])
	if !ok {
		if _, err := os.Stat(paths[0]); errors.Is(err, fs.ErrNotExist) {
			_, err := campaign.Open(paths[0]) // says from where it was looked for
			return err
		}
		return &wrongUse{fmt.Sprintf("%s is no campaign: want a file that ends in .toml, or its folder", paths[0])}
	}
	if *out != "" {
		if err := verdictPages.mayWrite(*out); err != nil {
			return err
		}
	}
	p := startProgress("opening the drives of " + path)
	j, others, err := judgements(path, *before, *after, *primary, delta)
	p.end()
	if err != nil {
		return err
	}
	v := document.VerdictOf(j)
	for _, other := range others {
		v.Others = append(v.Others, document.VerdictOf(other))
	}
	if *out != "" {
		var page bytes.Buffer
		if err := v.WritePage(&page); err != nil {
			return err
		}
		if err := verdictPages.write(*out, page.Bytes()); err != nil {
			return err
		}
		fmt.Fprintln(os.Stderr, *out, "is written")
	}
	return say(*json, v, func(w io.Writer) { v.Text(w) })
}

// judgements answers the question of a campaign; what the command line says
// counts before what the file says. Where nobody names two of three or more
// configurations, others are further ones against the same first.
func judgements(path, before, after, primary string, delta *difference) (first verdict.Judgement, others []verdict.Judgement, err error) {
	c, err := campaign.Open(path)
	if err != nil {
		return first, nil, err
	}
	q, err := asked(c, primary, delta)
	if err != nil {
		return first, nil, err
	}
	if before == "" && c.Question.Before == "" && len(c.Driven()) > 2 {
		all, err := severalJudgements(c, q)
		if err != nil {
			return first, nil, err
		}
		return all[0], all[1:], nil
	}
	first, err = judgement(c, q, before, after)
	return first, nil, err
}

// severalJudgements answers for each configuration against the first.
func severalJudgements(c *campaign.Campaign, q campaign.Question) ([]verdict.Judgement, error) {
	s, err := verdict.OfSeveral(c, verdict.Question{Comparing: verdict.Rules(q)})
	var left *drive.LeftOutError
	if errors.As(err, &left) {
		return []verdict.Judgement{noDriveHolds(c, c.Configurations[0].Name, "", q, left)}, nil
	}
	if err != nil {
		return nil, err
	}
	var all []verdict.Judgement
	for _, a := range s.Answers {
		all = append(all, a.Judge(q.Mounting))
	}
	for _, l := range s.Silent {
		all = append(all, verdict.Nothing(s.Before, l.Configuration, verdict.Rules(q), verdict.Flaw{Kind: verdict.FlawOther, Text: l.Why.Error()}, nil))
	}
	return all, nil
}

// asked is the campaign's question with what the command line says of it.
func asked(c *campaign.Campaign, primary string, delta *difference) (campaign.Question, error) {
	q := c.Question
	if primary != "" {
		q.Primary, q.PrimaryDeclared = primary, true
	}
	if delta.given {
		q.Delta = delta.in(c.Units)
		if delta.plain {
			fmt.Fprintf(os.Stderr, "note: -delta is taken as %s; write the unit behind it, 3K or 5F, to say another\n", c.Units.Say(quantity.KindTemperatureDifference, "%.4g", q.Delta.Kelvins()))
		}
		if !(q.Delta > 0 && q.Delta < 100) {
			return q, &wrongUse{"-delta wants a difference above 0 and below 100 K"}
		}
	}
	if !slices.Contains(document.DefaultStrata(), q.Primary) {
		return q, fmt.Errorf("%s: the primary kind of driving is %q; it is to be one of %s", c.Path, q.Primary, strings.Join(document.DefaultStrata(), ", "))
	}
	return q, nil
}

// judgement answers for two configurations.
func judgement(c *campaign.Campaign, q campaign.Question, before, after string) (verdict.Judgement, error) {
	before, after, err := sides(c, before, after)
	if err != nil {
		return verdict.Judgement{}, err
	}
	if before == after || after == "" {
		return oneConfiguration(c, before, after, q), nil
	}
	a, err := verdict.Of(c, verdict.Question{Before: before, After: after, Comparing: verdict.Rules(q)})
	var left *drive.LeftOutError
	if errors.As(err, &left) {
		return noDriveHolds(c, before, after, q, left), nil
	}
	if err != nil {
		return verdict.Judgement{}, err
	}
	return a.Judge(q.Mounting), nil
}

// oneConfiguration is the judgement where before and after are one, or there is no
// other.
func oneConfiguration(c *campaign.Campaign, before, after string, q campaign.Question) verdict.Judgement {
	why := fmt.Sprintf("there is only %q, and a configuration can't be compared with itself", before)
	next := verdict.Step{Do: "drive with the other configuration", Why: "nothing can be compared with one alone"}
	if driven := c.Driven(); len(driven) > 1 {
		why = fmt.Sprintf("%q stands on both sides, and a configuration can't be compared with itself", before)
		next = verdict.Step{Do: fmt.Sprintf("name two of %s as before and after", quotedNames(driven)), Why: "nothing can be compared with itself"}
	}
	var left []drive.LeftOut
	for _, d := range c.Entries {
		left = append(left, drive.LeftOut{Drive: d.Name, Configuration: d.Configuration, Step: drive.Comparing, Why: errors.New("there is nothing to compare it with")})
	}
	return verdict.Nothing(before, after, verdict.Rules(q), verdict.Flaw{Kind: verdict.FlawSame, Text: why}, left, next)
}

func noDriveHolds(c *campaign.Campaign, before, after string, q campaign.Question, left *drive.LeftOutError) verdict.Judgement {
	return verdict.Nothing(before, after, verdict.Rules(q), verdict.Flaw{Kind: verdict.FlawOther, Text: "no drive holds; the reason stands beside each"}, left.LeftOut, whatIsMissing(c)...)
}

// whatIsMissing asks for what the drives lack that can be joined.
func whatIsMissing(c *campaign.Campaign) []verdict.Step {
	set, err := c.Gather()
	if err != nil || len(set.Drives) == 0 {
		return []verdict.Step{{Do: "repair what was left out", Why: "no drive's files can be joined"}}
	}
	return verdict.Missing(set.Drives)
}

// sides names the two configurations: those given, those of the campaign's
// question, or the two that drives have.
func sides(c *campaign.Campaign, before, after string) (string, string, error) {
	if before != "" {
		for _, name := range []string{before, after} {
			if !slices.ContainsFunc(c.Configurations, func(k campaign.Configuration) bool { return k.Name == name }) {
				return "", "", fmt.Errorf("%s has no configuration %q; it has %s", c.Path, name, quoted(c))
			}
		}
		return before, after, nil
	}
	if c.Question.Before != "" && c.Question.After != "" {
		return c.Question.Before, c.Question.After, nil
	}
	switch driven := c.Driven(); len(driven) {
	case 1:
		return driven[0], "", nil
	case 2:
		return driven[0], driven[1], nil
	}
	return "", "", fmt.Errorf("%s has the configurations %s: say which is before and which is after the change with -before and -after", c.Path, quoted(c))
}

func quoted(c *campaign.Campaign) string {
	var names []string
	for _, k := range c.Configurations {
		names = append(names, k.Name)
	}
	return quotedNames(names)
}

func quotedNames(names []string) string {
	var all []string
	for _, n := range names {
		all = append(all, fmt.Sprintf("%q", n))
	}
	return strings.Join(all, ", ")
}
