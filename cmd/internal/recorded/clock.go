package recorded

import "bytes"

// clock reads times of the day: hh:mm:ss with a fraction, mm:ss, with a date before or an AM or PM behind. It counts on over
// midnight. The zero clock is ready.
type clock struct {
	date    []byte // as last seen
	day     float64
	hasDate bool
	zeroDay float64
}

const secondsADay = 86400

// read gives the seconds since midnight of the first day.
func (c *clock) read(cell []byte, decimal byte) (float64, bool) {
	colon := bytes.IndexByte(cell, ':')
	if colon < 1 || len(cell) > longestNumber {
		return 0, false
	}
	begin := bytes.LastIndexAny(cell[:colon], " T") + 1
	date := bytes.TrimRight(cell[:max(begin-1, 0)], " ")
	text := cell[begin:]
	afternoon, twelve := false, false
	if n := len(text); n > 2 && (text[n-1] == 'M' || text[n-1] == 'm') && (text[n-2]|0x20 == 'p' || text[n-2]|0x20 == 'a') {
		afternoon, twelve = text[n-2]|0x20 == 'p', true
		text = bytes.TrimRight(text[:n-2], " ")
	}
	text = bytes.TrimSuffix(text, []byte("Z"))
	if zone := bytes.LastIndexAny(text, "+-"); zone > 0 {
		text = text[:zone]
	}
	var parts [4]float64
	n := 0
	for rest := text; ; n++ {
		if n == len(parts) {
			return 0, false
		}
		part, more, found := bytes.Cut(rest, []byte(":"))
		sign := decimal
		if bytes.IndexByte(part, '.') >= 0 {
			sign = '.'
		} else if bytes.IndexByte(part, ',') >= 0 {
			sign = ','
		}
		v, ok := number(part, sign)
		if !ok || v < 0 || found && v != float64(int(v)) {
			return 0, false
		}
		parts[n] = v
		if rest = more; !found {
			n++
			break
		}
	}
	hours, minutes, seconds := parts[0], parts[1], parts[2]
	switch n {
	case 2:
		hours, minutes, seconds = 0, parts[0], parts[1]
	case 4: // hh:mm:ss:mmm
		seconds += parts[3] / 1000
	}
	if minutes >= 60 && n != 2 || seconds >= 61 || hours > 99 {
		return 0, false
	}
	if twelve {
		if hours == 12 {
			hours = 0
		}
		if afternoon {
			hours += 12
		}
	}
	c.onDay(date)
	return c.day*secondsADay + hours*3600 + minutes*60 + seconds, true
}

// onDay keeps count of the days by the date before the time.
func (c *clock) onDay(date []byte) {
	if len(date) == 0 || bytes.Equal(date, c.date) {
		return
	}
	day, known := dayOf(date)
	switch {
	case !c.hasDate && known:
		c.zeroDay = day
	case c.hasDate && known:
		c.day = day - c.zeroDay
	case c.hasDate:
		c.day++
	}
	c.hasDate = true
	c.date = append(c.date[:0], date...)
}

// dayOf counts days of the proleptic Gregorian calendar for dates as 2026-03-01, 2026/03/01 or 01.03.2026. The order of day
// and month in 01/03/2026 cannot be known, so such dates are only told apart.
func dayOf(date []byte) (float64, bool) {
	fields := bytes.FieldsFunc(date, func(r rune) bool { return r == '-' || r == '/' || r == '.' })
	if len(fields) != 3 {
		return 0, false
	}
	var n [3]int
	for i, f := range fields {
		v, ok := number(f, '.')
		if !ok || v < 0 || v > 9999 {
			return 0, false
		}
		n[i] = int(v)
	}
	year, month, day := n[0], n[1], n[2]
	switch {
	case len(fields[0]) == 4:
	case len(fields[2]) == 4 && bytes.IndexByte(date, '.') > 0:
		day, month, year = n[0], n[1], n[2]
	default:
		return 0, false
	}
	if month < 1 || month > 12 || day < 1 || day > 31 {
		return 0, false
	}
	if month <= 2 { // the year begins in March for this, so that the leap day is its last
		year, month = year-1, month+12
	}
	return float64(365*year + year/4 - year/100 + year/400 + (153*(month-3)+2)/5 + day), true
}
