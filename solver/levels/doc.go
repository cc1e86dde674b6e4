// Package levels says what a recording means for a job: which of its levels is the healthy one, when the symptom was there,
// which readings the recording comes to, and what the ohms of a fault were over time. It stands on recording, which knows no
// circuit, and on rank, which knows no time.
package levels
