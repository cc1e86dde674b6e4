package main

import (
	"context"
	"fmt"
	"os"
	"runtime/debug"
	"strings"
	"time"

	"golang.org/x/term"

	"ohmtrail/cmd/internal/class"
	"ohmtrail/cmd/internal/door"
)

// classWords are the part of serve's help that speaks of classes.
const classWords = `

With --class the folder holds exercises (exercise make): students come in with their phones by the QR picture
and a name, and the board, for which only the trainer has the code, says who is how far. The machines and their
faults stay here: a phone is sent what was asked for and no more, so these are marks that count, which those of
files handed out are not: whoever reads this program's source can open a sealed file. What is played is kept in
class/ in the folder, and goes on there when the program is started again, with the same codes; delete
class/ for a new class.`

// serveClass opens the page of a class.
func (d *desk) serveClass(folder string, o door.Options, browse bool) error {
	debug.SetGCPercent(100)
	o.Locked, o.Passes, o.BodyBytes, o.Secrets = true, class.Passes(), class.BodyBytes, class.Secrets(folder)
	var way *door.Door
	c, err := class.New(class.Options{Folder: folder, Now: time.Now, Log: d.err, Invitations: func() []door.Invitation { return way.Invitations() }})
	if err != nil {
		return err
	}
	defer c.Close()
	if way, err = door.Open(o); err != nil {
		return err
	}
	way.WhenClosing(c.Close)
	if err := class.KeepSecrets(folder, way.Secrets()); err != nil {
		fmt.Fprintf(d.err, "the codes will be others after a restart: %v\n", err)
	}
	if err := d.text(d.classInvitation(way, folder, o)); err != nil {
		return err
	}
	if browse {
		if err := openBrowser(boardAddress(way)); err != nil {
			fmt.Fprintf(d.err, "no browser could be opened: %v\n", err)
		}
	}
	ctx, stop := door.UntilStopped(context.Background())
	defer stop()
	return way.Serve(ctx, c)
}

// boardAddress is the board's on this machine, with the trainer's code.
func boardAddress(way *door.Door) string {
	return way.URL() + "#in=" + strings.ReplaceAll(invited(way, class.TrainerPass).Code, "-", "")
}

func invited(way *door.Door, pass string) door.Invitation {
	for _, i := range way.Invitations() {
		if i.Pass == pass {
			return i
		}
	}
	return door.Invitation{}
}

// classInvitation says where students and trainer come in.
func (d *desk) classInvitation(way *door.Door, folder string, o door.Options) string {
	var b strings.Builder
	students := invited(way, class.StudentPass)
	if f, ok := d.out.(*os.File); ok && o.LAN && term.IsTerminal(int(f.Fd())) {
		b.WriteString(students.Text())
	}
	fmt.Fprintf(&b, "Students: %s, code %s\n", students.Page, students.Code)
	if o.LAN {
		for _, url := range students.URLs {
			fmt.Fprintf(&b, "  %s\n", url)
		}
	} else {
		b.WriteString("  (this machine only; --lan lets phones in)\n")
	}
	fmt.Fprintf(&b, "Board:    %s\n", boardAddress(way))
	b.WriteString("  This address is the trainer's: it shows answers. Keep it from the projector and from students.\n")
	fmt.Fprintf(&b, "What is played is kept in %s/class. Ctrl-C ends it; it goes on where it was.\n", strings.TrimSuffix(folder, "/"))
	if o.LAN {
		b.WriteString("The connection is not encrypted: use a network that you trust.\n")
	}
	return b.String()
}
