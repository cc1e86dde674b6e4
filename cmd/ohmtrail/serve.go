package main

import (
	"context"
	"crypto/sha256"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/door"
	"ohmtrail/cmd/internal/recordings"
	"ohmtrail/cmd/internal/web"
)

func serveCommand(d *desk) *cobra.Command {
	var (
		lan, browse, asClass bool
		port                 int
	)
	c := &cobra.Command{
		Use:   "serve [FOLDER]",
		Short: "Open the local page on a folder of circuits and jobs",
		Long: `serve opens a page on the circuits and jobs of a folder (the working folder where none is named): start a
job, tap a test point, type the reading, see the ranking move and which reading to take next. Readings go
into the job files at once; a file that is edited by hand meanwhile is taken up.

It listens on this machine only. With --lan a phone on the same network can come in with the code that is
shown, as a QR picture too; the code is new each time. The connection is not encrypted: whoever controls
the network can read along. It ends with Ctrl-C.` + classWords,
		Example: `  ohmtrail serve
  ohmtrail serve jobs --lan
  ohmtrail serve jobs --port 8700 --browse
  ohmtrail serve --class friday --lan`,
		Args: filesWanted(0, 1, "one folder"),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return nil, cobra.ShellCompDirectiveFilterDirs
		},
		RunE: func(c *cobra.Command, args []string) error {
			folder := "."
			if len(args) > 0 {
				folder = args[0]
			}
			if c.Flags().Changed("port") && (port < 1 || port > 65535) {
				return usageError{"--port wants a number from 1 to 65535"}
			}
			if asClass {
				return d.serveClass(folder, door.Options{LAN: lan, Port: port, Log: d.err}, browse)
			}
			return d.serve(folder, door.Options{LAN: lan, Port: port, BodyBytes: web.BodyBytes, Log: d.err}, browse)
		},
	}
	c.Flags().BoolVar(&lan, "lan", false, "let devices of the local network come in, with a code")
	c.Flags().IntVar(&port, "port", 0, fmt.Sprintf("listen on port `N` (%d, or any that is free where that is taken)", door.DefaultPort))
	c.Flags().BoolVar(&asClass, "class", false, "serve the folder's exercises to a class")
	c.Flags().BoolVar(&browse, "browse", false, "open the page in the browser of this machine")
	return c
}

func (d *desk) serve(folder string, o door.Options, browse bool) error {
	debug.SetGCPercent(100)
	var way *door.Door
	options := web.Options{Folder: folder, Now: time.Now, Journal: journalFile(folder), Log: d.err, Recorded: asRecorded, WriteUps: writeUps()}
	if o.LAN {
		options.Invitations = func() []door.Invitation { return way.Invitations() }
	}
	page, err := web.New(options)
	if err != nil {
		return err
	}
	defer page.Close()
	if way, err = door.Open(o); err != nil {
		return err
	}
	way.WhenClosing(page.Close)
	if err := d.text(d.invitation(way, folder, o)); err != nil {
		return err
	}
	if browse {
		if err := openBrowser(way.Invitations()[0].URLs[0]); err != nil {
			fmt.Fprintf(d.err, "no browser could be opened: %v\n", err)
		}
	}
	ctx, stop := door.UntilStopped(context.Background())
	defer stop()
	return way.Serve(ctx, page)
}

// asRecorded reads a recording that a page sent.
func asRecorded(j *circuits.Job, r circuits.Reading, name string, csv []byte) (web.Recorded, error) {
	reading, says, err := recordings.One(j, r, name, csv)
	return web.Recorded{Reading: reading, Says: says}, err
}

// invitation says where the page is. The QR picture is for terminals, whose colours it sets.
func (d *desk) invitation(way *door.Door, folder string, o door.Options) string {
	var b strings.Builder
	if !o.LAN {
		fmt.Fprintf(&b, "%s is on %s (this machine only; --lan lets a phone in). Ctrl-C ends it.\n", folder, way.URL())
	} else {
		i := way.Invitations()[0]
		if f, ok := d.out.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
			b.WriteString(i.Text())
		}
		fmt.Fprintf(&b, "%s is on %s, code %s. Ctrl-C ends it.\n", folder, i.Page, i.Code)
		for _, url := range i.URLs {
			fmt.Fprintf(&b, "  %s\n", url)
		}
		b.WriteString("The connection is not encrypted: use a network that you trust.\n")
	}
	if o.Port == 0 && way.Port() != door.DefaultPort {
		fmt.Fprintf(&b, "Port %d was taken: pages that were open before must be opened anew.\n", door.DefaultPort)
	}
	return b.String()
}

// journalFile is where additions to the jobs of a folder are remembered; "" where the machine has no place for it.
func journalFile(folder string) string {
	cache, err := os.UserCacheDir()
	if err != nil {
		return ""
	}
	whole, err := filepath.Abs(folder)
	if err != nil {
		return ""
	}
	return filepath.Join(cache, "ohmtrail", fmt.Sprintf("written-%.12x.jsonl", sha256.Sum256([]byte(whole))))
}

// openBrowser asks the machine to show an address.
func openBrowser(url string) error {
	switch runtime.GOOS {
	case "darwin":
		return exec.Command("open", url).Start()
	case "windows":
		return exec.Command("rundll32", "url.dll,FileProtocolHandler", url).Start()
	}
	return exec.Command("xdg-open", url).Start()
}
