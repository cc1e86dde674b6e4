package reason

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"ohmtrail/circuits"
)

func TestTrialLook(t *testing.T) {
	names := strings.Split(os.Getenv("OHMTRAIL_LOOK"), ",")
	if names[0] == "" {
		return
	}
	for _, order := range []Order{BestPerMinute, HalfSplit, AtRandom} {
		n, right, three, sure, sureRight, place := 0, 0, 0, 0, 0, 0
		var minutes, readings float64
		start := time.Now()
		for _, name := range names {
			c, err := circuits.LibraryCircuit(name)
			if err != nil {
				t.Fatal(err)
			}
			for i := range 8 {
				x := RunTrial(c, name, TrialPlan{Seed: 3, Misread: 0.02}, i, order)
				n++
				if x.TopRight {
					right++
				}
				if x.InThree {
					three++
				}
				if x.Top >= 0.95 {
					sure++
					if x.TopRight {
						sureRight++
					}
				}
				if x.PlaceRight {
					place++
				}
				minutes += x.Minutes
				readings += float64(x.Readings)
				if order == BestPerMinute && os.Getenv("OHMTRAIL_SHOW") != "" {
					fmt.Printf("%s %d %-50s top %.3f right %v place %.2f %v: %d readings %.1f min done %v missed %d\n", name, i, x.Fault, x.Top, x.TopRight, x.Place, x.PlaceRight, x.Readings, x.Minutes, x.Done, x.Misread)
				}
			}
		}
		f := float64(n)
		fmt.Printf("%-10s of %d: top right %.1f %%, three %.1f %%, place %.1f %%, sure %.1f %% right %d of %d; %.2f readings, %.2f minutes; %v a trial\n", order, n, 100*float64(right)/f, 100*float64(three)/f, 100*float64(place)/f,
			100*float64(sure)/f, sureRight, sure, readings/f, minutes/f, time.Since(start)/time.Duration(n))
	}
}
