// Package evidence says how likely the readings of a job are under each fault that the circuit allows, and what a reading
// that has not been taken yet would show.
//
// It is Bayes over explicit hypotheses. An unknown resistance is integrated over strips, never fitted: at 4.98 V of 5 V the
// best-fitting series fault always beats "healthy", the integral does not. Tolerances are carried as one Gaussian vector
// for all readings, so that readings stay correlated; an unknown stimulus is a second grid. Every reading may be a
// misreading.
//
// Scales are a job made ready: they weigh hypotheses, give an Account of each, and send out Particles that stand for it, of
// which Rays predict a reading. Expect is one reading under one fault. Nothing here prints, and nothing sees the network's
// matrices.
package evidence
