// Package recorded reads recordings: tables of text as scan tools, logging meters and oscilloscopes export them. It finds out
// how a table is written (separator, decimal sign, lines before the head, units) and gives its rows one by one, so that
// memory does not grow with the file.
package recorded
