// Package dls writes and reads banks of endless cycles as Downloadable Sounds Level 2 (MMA/AMEI, Downloadable
// Sounds Level 2.2, RP-025 with Amendment 2), an open format of instruments.
//
// A bank is a RIFF form of the kind "DLS ". All numbers are little-endian; a chunk is a name of four characters, a
// 32-bit size, that many bytes and a pad byte where their number is odd; a LIST begins with its own kind.
//
//	vers            version of the content
//	colh            number of instruments
//	LIST lins       the instruments
//	  LIST ins
//	    insh        number of regions, bank, program
//	    LIST lrgn   the regions
//	      LIST rgn2
//	        rgnh    key range, velocity range, options
//	        wlnk    phase group, channel, index of the wave
//	        LIST lar2
//	          art2  connections: source, control, destination, transform, scale
//	    LIST INFO   INAM: the name
//	ptbl            for each wave its distance from the first byte after "wvpl"
//	LIST wvpl       the waves
//	  LIST wave
//	    fmt wsmp data LIST INFO
//	LIST INFO       about the whole
//
// A wave is 8- or 16-bit mono; a stereo cycle is two waves that regions of one phase group play. wsmp names the root
// and the loop. Around the loop stand guard frames, which continue the cycle on both sides, for readers that
// interpolate over many frames without going round.
package dls
