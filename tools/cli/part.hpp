#pragma once
// Parts of a network as they are written on a command line: "L=1.2uH,Q=200,V=500V,label=coil".

#include <string>
#include <string_view>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/network/element.hpp>

#include "cli/command_line.hpp"

namespace stile::tools {

/// How parts are written, for --help.
extern const char* const part_notes;

/// A two-terminal part. The first key says what it is:
///   L=1.2uH [,Q=200 [,Q_at=7MHz]] [,ESR=0.1ohm] [,SRF=25MHz | ,Cself=1pF]
///   C=300pF [,Q=1000 [,Q_at=7MHz]] [,tan=0.001] [,ESR=0.1ohm]
///   R=50ohm        Z=12-230j
/// and each may have ratings V=500V (peak) I=1A (rms) P=2W, and label=NAME.
///
/// @param option  "--series", for messages
/// @throws ParseError  an unknown or repeated key, a value that cannot be read or is out of range; with the column
network::Element read_part(std::string_view text, network::Place place, const std::string& option);

/// A line: "RG-58,2m" (a known cable) or "Z0=50,VF=0.66,length=2m", with loss "dB=4.56,per=100ft,at=30MHz".
/// Ratings and label as above. @throws ParseError
network::Element read_line(std::string_view text, const std::string& option);

/// Ideal transformer, turns at the transmitter's side to turns at the load's: "7:1". Ratings and label as above.
/// @throws ParseError
network::Element read_transformer(std::string_view text, const std::string& option);

/// Gives each part without a label its kind's letter and its place in the row: L1, C2, T3.
void name_parts(network::Ladder& ladder);

/// "FROM:TO:POINTS": frequencies at even steps, both ends included; 0 < FROM < TO, POINTS 2..100000.
/// @throws ParseError
std::vector<double> read_sweep(std::string_view text, const std::string& option);

/// Of every --frequency and --sweep, rising, each once. @throws UsageError  none; ParseError  one is not > 0
std::vector<double> given_frequencies(const Arguments& arguments);

/// "FROM:TO", 0 < FROM < TO. @throws ParseError
Range read_limits(std::string_view text, Unit unit, const std::string& option);

}  // namespace stile::tools
