package marking

import (
	"reflect"
	"sync"
	"testing"

	"ohmtrail/cmd/internal/exercise"
)

// Forty students at once on one exercise and one judge: each has the marks that one alone has.
func TestManyAtOnce(t *testing.T) {
	x := hidden(t, "open C7:2")
	lines := []string{"scan MCU:A2 because code", "volts MHS:2 because signal", "volts C7:2/chassis because half", "find open C7:2; a new terminal because it stops there"}
	alone := marked(t, played(t, x, lines...))
	judge := NewJudge()
	all := make([]Marks, 40)
	var wait sync.WaitGroup
	for i := range all {
		wait.Go(func() {
			p := exercise.NewPlay(x, "=Kim")
			for _, line := range lines {
				a, err := exercise.Parse(x, line)
				if err != nil {
					t.Error(err)
					return
				}
				p.Do(a)
				judge.Follow(p)
			}
			m, err := judge.Mark(p, DefaultPoints())
			if err != nil {
				t.Error(err)
			}
			all[i] = m
		})
	}
	wait.Wait()
	for i, m := range all {
		if !reflect.DeepEqual(m, alone) {
			t.Fatalf("student %d has %+v, alone it is %+v", i, m, alone)
		}
	}
}
