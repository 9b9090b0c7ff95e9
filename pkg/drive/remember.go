package drive

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/gob"
	"encoding/hex"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"sync"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/drive/internal/kept"
)

// Settling the clocks is most of the work of joining a drive, and its outcome
// depends on the readings and on the program alone. It is kept in a file whose
// name is a hash of both; a file that is damaged, or was written by another
// program, counts as none.

// CacheFolder returns where the clocks of drives that were joined before may be
// kept: a folder of the user's cache. It is empty where the system names none,
// where the environment variable BONNETBOOK_CACHE is "off", and in tests; another
// value of it is the folder.
func CacheFolder() string {
	test := strings.HasSuffix(strings.TrimSuffix(filepath.Base(os.Args[0]), ".exe"), ".test")
	switch at := os.Getenv("BONNETBOOK_CACHE"); {
	case strings.EqualFold(at, "off"):
		return ""
	case at != "":
		return filepath.Join(at, "clocks")
	case test: // each build is a program of its own, and keeps nothing that another could use
		return ""
	}
	base, err := os.UserCacheDir()
	if err != nil {
		return ""
	}
	return filepath.Join(base, "bonnetbook", "clocks")
}

// sharedFolder returns where clocks may lie that somebody else found, for all who
// work on this machine: what the environment variable BONNETBOOK_CACHE_SHARED
// names, as the server of a workshop does. Nothing is written there.
func sharedFolder() string {
	if at := os.Getenv("BONNETBOOK_CACHE_SHARED"); at != "" {
		return filepath.Join(at, "clocks")
	}
	return ""
}

// remembered is what a file of the cache holds.
type remembered struct {
	Clocks    []clock.Result
	Reference []bool
}

// settleFrom settles the clocks, or takes over what was found before for the
// same readings. Where nothing has to be found, nothing is kept.
func settleFrom(folder string, members []member, opts clock.Options) error {
	open := len(members) > 1 && slices.ContainsFunc(members, func(m member) bool { return !m.given })
	undated := slices.ContainsFunc(members, func(m member) bool { return !m.dated }) // is moved, not only set
	if folder == "" || !open || undated {
		return settleClocks(members, opts)
	}
	key := clocksKey(members, opts)
	path := filepath.Join(folder, key)
	all, ok := recall(path, len(members))
	if shared := sharedFolder(); !ok && shared != "" {
		all, ok = recall(filepath.Join(shared, key), len(members))
	}
	if ok {
		for i := range members {
			m := &members[i]
			if m.Reference = all.Reference[i]; !m.given { // what is given has more to it than the key
				m.Clock = all.Clocks[i]
			}
			m.setOrigin()
		}
		return nil
	}
	if err := settleClocks(members, opts); err != nil {
		return err
	}
	all = remembered{Clocks: make([]clock.Result, len(members)), Reference: make([]bool, len(members))}
	for i, m := range members {
		all.Clocks[i], all.Reference[i] = m.Clock, m.Reference
	}
	keep(path, all)
	return nil
}

// clocksKey is the name of the file for these readings and this program. Of the
// clocks that are given it holds what those that are found depend on. Intervals
// are written by their ends: as text they are rounded.
func clocksKey(members []member, opts clock.Options) string {
	h := sha256.New()
	fmt.Fprintf(h, "%s\n%+v %v %v\n", programVersion(), opts, opts.Search.From, opts.Search.To)
	for _, m := range members {
		fmt.Fprintf(h, "%q %q %v %v %v %v %v %v\n", m.Device, m.File, m.start.UnixNano(), m.dated, m.elapsedOnly, m.zoneKnown, m.given, m.sync)
		if m.given {
			c := m.Clock
			fmt.Fprintf(h, "%v %v %v %v %v %v\n", c.Method, c.Offset, c.Drift, c.Origin.UnixNano(), c.Interval.From, c.Interval.To)
		}
		for _, in := range m.Inputs {
			if in.Series == nil {
				fmt.Fprintf(h, "%q none\n", in.Role)
				continue
			}
			fmt.Fprintf(h, "%q %q %v %d %d\n", in.Role, in.Series.Name, in.Series.Dimension, in.Series.Start.UnixNano(), in.Series.Len())
			writeFloats(h, in.Series.Time)
			writeFloats(h, in.Series.Value)
		}
	}
	return hex.EncodeToString(h.Sum(nil)[:20])
}

func writeFloats(w io.Writer, x []float64) {
	b := make([]byte, 0, 8*len(x))
	for _, v := range x {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
	}
	w.Write(b) // a hash takes everything
}

// programVersion names this build. A build without a version of its own, as
// one from a changed source, is told by its file.
var programVersion = sync.OnceValue(func() string {
	text := ""
	if b, ok := debug.ReadBuildInfo(); ok {
		text = b.GoVersion + " " + b.Main.Path + " " + b.Main.Version + " " + b.Main.Sum
		for _, m := range b.Deps {
			text += " " + m.Path + m.Version
		}
	}
	if exe, err := os.Executable(); err == nil {
		if info, err := os.Stat(exe); err == nil {
			text += fmt.Sprintf(" %d %d", info.Size(), info.ModTime().UnixNano())
		}
	}
	return text
})

// recall reads a file of the cache; ok is false where there is none that can be
// used.
func recall(path string, members int) (all remembered, ok bool) {
	body, ok := kept.Load(path)
	if !ok || gob.NewDecoder(bytes.NewReader(body)).Decode(&all) != nil || len(all.Clocks) != members || len(all.Reference) != members {
		return all, false
	}
	return all, true
}

// keep writes a file of the cache. A cache that can't be written is no problem
// of the drive's.
func keep(path string, all remembered) {
	var body bytes.Buffer
	if gob.NewEncoder(&body).Encode(all) == nil {
		kept.Save(path, body.Bytes())
	}
}
