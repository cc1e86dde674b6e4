// Package network turns a circuit, the state of one reading and a fault into an electrical network, and says what the
// meter or the module would show.
//
// The work is nodal analysis with conductances. Two things set it apart from a general simulator:
//
//   - A row of the system is kept as its off-diagonal conductances and its conductance to ground; a pivot is formed as
//     their sum. With additions only, milliohm wires beside megohm inputs cost no digits, and a part of the circuit
//     that has no path to B- shows as a pivot that is exactly zero (Grassmann, Taylor, Heyman 1985, for Markov chains;
//     Peña, ETNA 18, 2004, for diagonally dominant M-matrices).
//   - A fault of unknown ohms is never solved for each resistance: the network without the suspect element is solved
//     once, and the readings for every resistance follow in closed form (frame.go).
//
// Parts that change their law (a regulator at its limit, a sensor without supply, a module without power, a diode) are
// pieces: a state is assumed for each, the linear network solved, and the states changed until all agree.
package network
