package main

import (
	"errors"
	"flag"
	"fmt"
	"io"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/document"
	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

func runLook(f *flag.FlagSet, args []string) error {
	json := asJSON(f)
	name := f.String("drive", "", "look at one drive of the campaign, by its `NAME`")
	paths, err := parse(f, args, 1, -1, "files, or one campaign")
	if err != nil {
		return err
	}
	file, _ := campaign.FileAt(paths[0])
	if file != "" && len(paths) > 1 {
		return &wrongUse{"want files, or one campaign, not both"}
	}
	if file == "" && *name != "" {
		return &wrongUse{"-drive names a drive of a campaign, and files are given"}
	}
	p := startProgress("looking")
	var looks []document.Look
	if file != "" {
		looks, err = lookAtCampaign(file, *name, p)
	} else {
		looks, err = lookAtFiles(paths, p)
	}
	p.end()
	if len(looks) > 0 {
		if e := say(*json, looks, func(w io.Writer) {
			for _, l := range looks {
				l.Text(w)
			}
		}); e != nil {
			return e
		}
	}
	return err
}

func lookAtCampaign(path, name string, p *progress) ([]document.Look, error) {
	c, err := campaign.Open(path)
	if err != nil {
		return nil, err
	}
	names := c.DriveNames()
	if name != "" {
		names = []string{name}
	}
	var looks []document.Look
	for i, n := range names {
		p.now(fmt.Sprintf("drive %d of %d, %s", i+1, len(names), n))
		r, err := c.Request(n)
		if err != nil {
			return nil, err
		}
		d, err := c.Drive(n)
		if err != nil {
			looks = append(looks, document.NoLook(drive.LeftOut{Drive: n, Configuration: c.ConfigurationOf(n), Step: drive.Joining, Why: err}))
			continue
		}
		looks = append(looks, document.LookOf(verdict.LookAt(d, segment.DefaultRules()), document.ZonesOf(r), nil, false))
	}
	return looks, nil
}

func lookAtFiles(paths []string, p *progress) ([]document.Look, error) {
	drives, unread, err := campaign.FromFiles(paths...)
	if err != nil {
		return nil, err
	}
	var failed []error
	for _, u := range unread {
		failed = append(failed, errors.New(u))
	}
	requests, joined, why := make([]drive.Request, len(drives)), make([]*drive.Drive, len(drives)), make([]error, len(drives))
	for i, x := range drives {
		p.now(fmt.Sprintf("drive %d of %d, %s", i+1, len(drives), x.Request.Name))
		requests[i] = x.Request
		joined[i], why[i] = drive.Join(x.Request)
	}
	drive.Together(requests, joined)
	var looks []document.Look
	for i, x := range drives {
		if why[i] != nil {
			failed = append(failed, why[i])
			looks = append(looks, document.NoLook(drive.LeftOut{Drive: x.Request.Name, Step: drive.Joining, Why: why[i]}))
			continue
		}
		looks = append(looks, document.LookOf(verdict.LookAt(joined[i], segment.DefaultRules()), document.ZonesOf(x.Request), x.Assumed, x.DateOpen))
	}
	return looks, errors.Join(failed...)
}
