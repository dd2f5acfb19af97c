#pragma once
// Loads from files: Touchstone one-ports and CSV sweeps.

#include <string>
#include <string_view>

#include <stile/base/table.hpp>
#include <stile/load/load.hpp>
#include <stile/load/touchstone.hpp>

namespace stile::load {

struct LoadFileOptions {
  double widest_gap_ratio = default_gap_ratio;  ///< > 1; see SampledLoad
};

/// A load from a one-port Touchstone text in S, Y or Z.
///
/// S is turned into impedance with the file's own reference: R = R0 (1 - |S|^2) / |1 - S|^2. |S| above 1 by up to
/// 1e-9 counts as total reflection, R = 0, and is reported in reading_warnings; above that it is refused.
/// @throws ParseError  as read_touchstone; more than one port; |S11| > 1, Re(Z) < 0 or Re(Y) < 0; an open circuit
///                     (S = 1, Y = 0); a frequency of 0 - each with its line
Load load_from_touchstone_text(std::string_view text, const std::string& file, const LoadFileOptions& options = {});

/// The same for a file; "-" is standard input.
Load load_from_touchstone_file(const std::string& path, const LoadFileOptions& options = {});

/// A load from a CSV table with the columns frequency_hz, r_ohm, x_ohm, and radiated_share together with metal_share
/// and, where known, person_share and lump_share (shares of the power into the feed; the ground has the rest). Other
/// columns are named in reading_warnings.
/// @throws ParseError  as read_table; frequencies not > 0 and strictly increasing, r_ohm < 0, a share outside 0..1 or a
///                     sum above 1, a share column without the first two - each with its cell
Load load_from_csv_text(std::string_view text, const std::string& file, const LoadFileOptions& options = {});

/// Chooses by the extension, case ignored: .s1p (any .sNp) and .ts are Touchstone, .csv is CSV; "-" is Touchstone on
/// standard input.
/// @throws ParseError  another extension, or as above
Load load_from_file(const std::string& path, const LoadFileOptions& options = {});

/// The sampled load with power shares from a table with the columns frequency_hz, far_field_power_over_input,
/// metal_loss_over_input and, where known, person_loss_over_input and lump_loss_over_input (the ground has the rest).
/// The table must have the load's frequencies, all and no others (equal within 1e-9).
/// @throws DomainError  the load is not a sampled one
/// @throws ParseError   another set of frequencies, a share outside 0..1, a sum above 1
Load attach_shares(Load load, const Table& table);

}  // namespace stile::load
