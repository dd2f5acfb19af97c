#pragma once
// The command line of every tool: what it takes stands in a table, what was given is kept in the order written.

#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include <stile/base/quantity.hpp>

namespace stile::tools {

/// The command line is wrong; what() says what would be legal. Exit status 2.
struct UsageError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

struct Option {
  std::string name;   ///< "--frequency"; a name without a dash in front is a positional argument
  std::string value;  ///< what stands for its value in the help, "F"; empty: a flag (or positional)
  std::string help;   ///< with unit, range and default
  bool repeatable = false;
  bool writes = false;  ///< its value is a file, or a folder, that the tool writes
  bool reads = false;   ///< its value is a file that the tool reads, which no output may replace
};
/// The option with `reads`.
Option reading(Option option);

/// Options that go together, or do not: nothing that is given is ignored. An option may stand with a value, of either
/// case:
/// "--form pi" is met by that value alone, never by a default.
struct Rule {
  enum class Kind { only_with, not_with, one_of } kind;
  std::vector<std::string> options, others;
};
/// Each of the options is of no use without one of the others: refused alone.
Rule only_with(std::vector<std::string> options, std::vector<std::string> others);
/// Each of the options would be ignored, or contradict, beside any of the others: refused with it.
Rule not_with(std::vector<std::string> options, std::vector<std::string> others);
/// Not two of the options.
Rule one_of(std::vector<std::string> options);

/// What --help shows, and all that is legal. The options every tool has are added by read_command_line.
struct Description {
  std::string name;      ///< "stile-net"
  std::string summary;   ///< one line, small first letter, no full stop
  std::string usage;     ///< what follows the name on the usage line
  std::string examples;  ///< two shell commands that run as they stand, one a line (or with "\" at its end)
  std::vector<Option> options;
  std::vector<Rule> rules;    ///< checked before anything is read
  std::string notes;          ///< how to write parts, what the keys mean; may be empty
  std::string does_not_hold;  ///< what exit status 1 means here
  bool charts = false;        ///< the tool takes --chart
};

/// A quantity of the command line: as read_quantity, and of a size with which a result stays finite, 0 or 1e-40 to 1e40
/// in SI, so that an absurd one is told with its place.
/// @throws ParseError
double read_sized(std::string_view text, Unit unit, const Where& where);
/// The same of an impedance: real and imaginary part.
cdouble read_sized_impedance(std::string_view text, const Where& where);

/// One option as given.
struct Argument {
  std::string option;
  std::string text;  ///< empty for a flag
};

enum class Format { text, json, csv };

/// What was given.
class Arguments {
public:
  explicit Arguments(std::vector<Argument> given) : given_(std::move(given)) {}

  /// Everything, in the order written.
  const std::vector<Argument>& in_order() const { return given_; }
  bool has(std::string_view option) const;
  /// The same for an option, or an option with a value: "--form pi".
  bool meets(std::string_view option_with_value) const;
  std::optional<std::string> text(std::string_view option) const;
  /// Of a repeatable option or positional argument; empty when not given.
  std::vector<std::string> texts(std::string_view option) const;
  /// SI. @throws ParseError  as read_sized, with the option as its place
  std::optional<double> quantity(const std::string& option, Unit unit) const;
  /// The same, and > 0. @throws ParseError
  std::optional<double> positive(const std::string& option, Unit unit) const;
  /// The same, with a default.
  double positive(const std::string& option, Unit unit, double otherwise) const;
  /// The same, and >= 0, with a default. @throws ParseError
  double not_negative(const std::string& option, Unit unit, double otherwise) const;
  /// A share: "5%" or "0.05", 0 <= share < 1. @throws ParseError
  std::optional<double> share(const std::string& option) const;
  /// A whole number, least..most. @throws ParseError
  std::optional<int> count(const std::string& option, int least, int most) const;

  /// @throws UsageError  both --json and --csv
  Format format() const;
  /// Where the result goes: the argument of -o, or "-" for standard output; nothing when standard output is taken by
  /// "--touchstone -" and there is no -o.
  /// @throws UsageError  nothing, and a format for it: --json or --csv
  std::optional<std::string> result_output() const;
  /// The same for tools without --touchstone.
  std::string output() const;
  bool quiet() const { return has("--quiet"); }

private:
  std::vector<Argument> given_;
};

/// @throws UsageError  an unknown option, a missing or repeated value, a broken rule, two outputs of one name,
///                     an output that names an input
Arguments read_command_line(const Description& description, int argc, const char* const* argv);

/// Refuses two outputs of one name, and one that names an input, before anything is computed.
/// @param named  further files that the run reads: those that an input names inside
/// @throws UsageError
void check_outputs(const Description& description, const Arguments& arguments,
                   const std::vector<std::string>& named = {});

/// Summary, examples, usage, options, notes, exit status.
std::string help_text(const Description& description);

/// "stile-net 0.1.0".
std::string version_text(const std::string& name);
/// "0.1.0".
std::string version();

}  // namespace stile::tools
