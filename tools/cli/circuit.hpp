#pragma once
// Transmitter and load, as all tools that evaluate networks take them.

#include <vector>

#include <stile/load/load.hpp>
#include <stile/network/ladder.hpp>
#include <stile/safety/cautions.hpp>

#include "cli/command_line.hpp"

namespace stile::tools {

/// --source, --power, --load, --load-file.
std::vector<Option> circuit_options();

/// --source (default 50 ohm) and --power (default 5 W). @throws ParseError
network::Source read_source(const Arguments& arguments);

/// The one of --load and --load-file that is given (a rule of the tool excludes both).
/// @throws UsageError  neither; ParseError  it cannot be read
load::Load read_load(const Arguments& arguments);

/// The load's impedance. @throws ParseError  no data there: names the option that asks for this frequency
cdouble load_at(const load::Load& load, double frequency_hz, const std::string& option);

/// --swr, default 2. @throws ParseError  not above 1
double read_swr_limit(const Arguments& arguments);

/// "12-230j ohm", "50 ohm"; a reactance below 1e-9 of the resistance is what rounding left.
std::string impedance_text(cdouble z_ohm, int digits = 6);

/// "7.1234567 MHz": a frequency that a user stated, with all digits.
std::string stated_frequency(double frequency_hz);

/// "12-230j ohm" or the file's name.
std::string load_text(const load::Load& load);

/// Cautions with the figures of the evaluation that has the highest voltage at the load. Not empty.
std::vector<safety::Caution> cautions_of(const std::vector<network::Evaluation>& evaluations);

}  // namespace stile::tools
