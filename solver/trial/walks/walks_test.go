package walks

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

var names = []string{"coolant-temperature", "pressure-three-wire", "throttle-potentiometer", "oil-pressure-switch", "current-loop-4-20", "variable-reluctance",
	"exhaust-temperature", "solenoid-low-side"}

const (
	seed    = 15
	misread = 0.02
)

// machine is the n-th machine, on the circuits by turns.
func machine(t *testing.T, n int) (Machine, string) {
	t.Helper()
	name := names[n%len(names)]
	c, err := library.Circuit(name)
	if err != nil {
		t.Fatal(err)
	}
	return Draw(c, seed, uint64(n), misread), name
}

// sums are over machines.
type sums struct {
	n, ends, among, first int
	minutes               float64
}

func (s *sums) add(f Found) {
	s.n++
	s.minutes += f.Minutes
	for _, c := range []struct {
		is  bool
		sum *int
	}{{f.AtEnd, &s.ends}, {f.Among, &s.among}, {f.First, &s.first}} {
		if c.is {
			*c.sum++
		}
	}
}

func (s sums) log(t *testing.T, what string) {
	t.Helper()
	share := func(k int) float64 { return 100 * float64(k) / float64(s.n) }
	t.Logf("%-10s %d machines: among the places left alike %.1f %%, first %.1f %%, at an end of the chart %.1f %%, %.1f min", what, s.n, share(s.among), share(s.first), share(s.ends),
		s.minutes/float64(s.n))
}

// TestChartsLeadToThePlace walks machines drawn from their widths through the charts of their codes, which are made before any machine
// is seen. WALK=400 walks so many and lets the plan and half-split find the same faults.
func TestChartsLeadToThePlace(t *testing.T) {
	machines, orders := 8, false
	if s := os.Getenv("WALK"); s != "" {
		machines, _ = strconv.Atoi(s)
		orders = true
	}
	charts := map[string]plan.FlowChart{}
	var chart, ends, planned, half sums
	confident, wrong := 0, 0
	for n := range machines {
		m, name := machine(t, n)
		key := name + " " + strings.Join(m.Job.Codes, " ")
		if _, made := charts[key]; !made {
			r := rank.Rank(&circuits.Job{Circuit: m.Job.Circuit, Meter: m.Job.Meter, Assume: m.Job.Assume, Codes: m.Job.Codes})
			charts[key] = plan.Flow(&r, 25)
		}
		f := m.Walk(charts[key])
		chart.add(f)
		if f.AtEnd {
			ends.add(f)
		}
		if f.AtEnd && f.Holds >= 0.95 {
			confident++
			if !f.Among {
				wrong++
				t.Logf("%s %d: %v came to an end that holds %.2f", name, n, m.Vehicle.Fault, f.Holds)
			}
		}
		if orders {
			m, _ := machine(t, n)
			planned.add(m.Plan(false))
			m, _ = machine(t, n)
			half.add(m.Plan(true))
		}
		if orders && (n+1)%40 == 0 || n+1 == machines {
			chart.log(t, "chart")
			ends.log(t, "its ends")
			t.Logf("%d ends hold 95 %% and more, %d of them wrong", confident, wrong)
			if orders {
				planned.log(t, "plan")
				half.log(t, "half-split")
				t.Logf("the chart takes %.2f of the plan's minutes, %.2f of half-split's", chart.minutes/planned.minutes, chart.minutes/half.minutes)
			}
		}
	}
	if chart.among*4 < chart.n*3 {
		t.Errorf("only %d of %d are among the places left", chart.among, chart.n)
	}
}

// TestNothingIsDoneOnScanValuesAlone asks machines for what the scan tool shows, as long as the plan has such readings: a place is
// never called proven, nor to be repaired, before a meter has been used or a plug parted where that can be done within five minutes; and no plan that
// is done warns of replacing.
func TestNothingIsDoneOnScanValuesAlone(t *testing.T) {
	scanned := 0
	for n := range 16 {
		name := []string{"throttle-potentiometer", "hall-speed", "oil-pressure-switch", "coolant-temperature"}[n%4]
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		m := Draw(c, 77, uint64(n), 0)
		for {
			r := rank.Rank(m.Job)
			p := plan.Next(&r)
			if p.Done {
				alone(t, name, m, p)
				for _, a := range plan.AdviseBeside(&r, p) {
					if a.Kind == plan.NotYet {
						t.Errorf("%s: done, and %v is not to be replaced yet", name, a.Names)
					}
				}
				break
			}
			var f Found
			if reading, ok := scanOf(p); !ok {
				break
			} else if _, shown := m.take(&f, reading); !shown {
				break
			}
			scanned++
		}
	}
	if scanned < 10 {
		t.Errorf("only %d scan values were read", scanned)
	}
}

// scanOf is the first scan value of a plan.
func scanOf(p plan.Plan) (circuits.Reading, bool) {
	for _, s := range p.Suggestions {
		if s.Reading.Quantity == circuits.ScanVolts {
			return s.Reading, true
		}
	}
	return circuits.Reading{}, false
}

// alone complains of a plan that puts a place right after scan values alone.
func alone(t *testing.T, name string, m Machine, p plan.Plan) {
	t.Helper()
	if p.Standing != plan.Likely && p.Standing != plan.ShownOpposite {
		return
	}
	for _, r := range m.Job.Readings {
		if len(r.State.Unplugged)+len(r.State.Jumpers) > 0 {
			return // a test, not a look
		}
	}
	for _, r := range plan.Candidates(m.Job) {
		if r.Quantity != circuits.ScanVolts && m.Job.Circuit.Minutes(r, m.Job.Reached()) <= 5 {
			t.Errorf("%s with %v: done (%d, %s with %.3f) after %d scan values alone", name, m.Vehicle.Fault, p.Standing, p.Remaining[0].Place, p.Remaining[0].Probability, len(m.Job.Readings))
			return
		}
	}
}
