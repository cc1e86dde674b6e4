package view

// Strong sets words that lead the eye.
func (p Page) Strong(s string) string { return p.strong(s) }

// Hanging is a text set on the page behind a head, its other lines indented as far.
func (p Page) Hanging(head, s string) string { return p.paragraph(head, s) }

// Pad fills a text up to a number of columns on its right.
func Pad(s string, columns int) string { return pad(s, columns, false) }
