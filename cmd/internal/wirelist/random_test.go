package wirelist

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
)

// Random lists over few names and cavities, so that loops, double crimps, twins and contradictions abound. Every row
// either stands in the circuit file as a wire between its two ends, or is told with its line; nothing panics, and the
// file parses.
func TestEveryRowIsPlacedOrTold(t *testing.T) {
	names := []string{"ECU", "BCM", "C1", "C2", "X3", "S1", "SP2", "G1", "K4", "F1", "D1", "MHS", "TEMP", "B+", "B-", "LINK"}
	cavities := []string{"1", "2", "3", "30", "85", "86", "87", "87a", "", "A1", "B2"}
	signals := []string{"5V REF", "RTN", "SIG", "CAN_H", "24V", "GND", "", "PUMP CTRL"}
	placed, told := 0, 0
	for seed := range uint64(800) {
		r := rand.New(rand.NewPCG(seed, 7))
		pick := func(list []string) string { return list[r.IntN(len(list))] }
		some := names[r.IntN(8):]
		sided := r.IntN(2) == 0
		end := func() (string, string) {
			name, cavity := pick(some), pick(cavities[:1+r.IntN(len(cavities))])
			side := ""
			if sided && (name[0] == 'C' || name[0] == 'X') {
				side = pick([]string{"in", "out"})
			}
			if cavity == "" || name[0] == 'S' && r.IntN(8) > 0 {
				return name, side
			}
			return name + ":" + cavity, side
		}
		var b strings.Builder
		b.WriteString("from,from_side,to,to_side,colour,length_m,name\n")
		rows := 3 + r.IntN(25)
		for range rows {
			from, fromSide := end()
			to, toSide := end()
			fmt.Fprintf(&b, "%s,%s,%s,%s,%s,%d,%s\n", from, fromSide, to, toSide, pick([]string{"RD", "", "BN"}), r.IntN(4), pick(signals))
		}
		s, err := Import(strings.NewReader(b.String()), ImportOptions{File: "random"})
		if err != nil {
			if strings.Contains(err.Error(), "does not parse") {
				t.Fatalf("seed %d: %v\n%s", seed, err, b.String())
			}
			if len(s.Problems.Errors()) != rows {
				t.Fatalf("seed %d: nothing was placed, and %d of %d rows were told", seed, len(s.Problems.Errors()), rows)
			}
			continue
		}
		c, _ := read.Circuit("random", s.Text)
		lost := len(s.Problems.Errors())
		if len(c.Wires) != s.Wires || len(c.Wires)+lost != rows {
			t.Fatalf("seed %d: %d wires and %d rows told, of %d rows\n%s\n%s\n%v", seed, len(c.Wires), lost, rows, b.String(), s.Text, s.Problems)
		}
		placed, told = placed+s.Wires, told+lost
	}
	if placed < 10*told/4 || told == 0 {
		t.Errorf("%d rows placed, %d told: the lists try too little", placed, told)
	}
	t.Logf("%d rows placed, %d told", placed, told)
}

// Where the list names halves, the wires of the file end on those halves.
func TestHalvesAreKept(t *testing.T) {
	for seed := range uint64(150) {
		r := rand.New(rand.NewPCG(seed, 8))
		var b strings.Builder
		b.WriteString("from,from_side,to,to_side\n")
		type row struct{ a, sideA, z, sideZ string }
		var rows []row
		for i := range 8 {
			// ECU on the near half, parts on the far one, rows either way round
			near := row{fmt.Sprintf("ECU:%d", i), "", fmt.Sprintf("C1:%d", i), "near"}
			far := row{fmt.Sprintf("C1:%d", i), "far", fmt.Sprintf("DEV%d:1", i), ""}
			for _, w := range []row{near, far} {
				if r.IntN(2) == 0 {
					w = row{w.z, w.sideZ, w.a, w.sideA}
				}
				rows = append(rows, w)
			}
		}
		r.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
		for _, w := range rows {
			fmt.Fprintf(&b, "%s,%s,%s,%s\n", w.a, w.sideA, w.z, w.sideZ)
		}
		s, err := Import(strings.NewReader(b.String()), ImportOptions{File: "halves"})
		if err != nil || len(s.Problems) > 0 {
			t.Fatal(err, s.Problems)
		}
		c, _ := read.Circuit("halves", s.Text)
		for _, w := range c.Wires {
			for _, p := range []circuits.Point{w.From, w.To} {
				if p.Place == "C1" && (p.Side == "near") != (w.From.Place == "ECU" || w.To.Place == "ECU") {
					t.Fatalf("seed %d: %s is on the half %s\n%s\n%s", seed, w.Location, p.Side, b.String(), s.Text)
				}
			}
		}
	}
}

// Two wires that meet in a cavity stay mated where their colours part them into two runs and both rows end there.
func TestMatesOfTwoRunsStayMated(t *testing.T) {
	s, err := Import(strings.NewReader("from,to,colour\nECU:1,C1:1,RD\nDEV:1,C1:1,\n"), ImportOptions{File: "mates"})
	if err != nil {
		t.Fatal(err)
	}
	c, _ := read.Circuit("mates", s.Text)
	if c.Contact(circuits.PointLocation(circuits.Point{Place: "C1", Cavity: "1"})) == nil {
		t.Errorf("nothing is mated in C1:1:\n%s", s.Text)
	}
}
