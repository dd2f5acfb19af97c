#include "cli/command_line.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <map>

#include <CLI/CLI.hpp>
#include <fmt/core.h>
#include <fmt/ranges.h>

#include "cli/options.hpp"
#include "cli/output.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

void check_rules(const Description& description, const Arguments& arguments) {
  for (const Rule& rule : description.rules) {
    const auto meets = [&](const std::string& o) { return arguments.meets(o); };
    const auto given = std::find_if(rule.options.begin(), rule.options.end(), meets);
    if (given == rule.options.end()) continue;
    const bool among = rule.kind == Rule::Kind::one_of;
    const auto end = among ? rule.options.end() : rule.others.end();
    const auto other = std::find_if(among ? given + 1 : rule.others.begin(), end, meets);
    if (rule.kind == Rule::Kind::only_with && other == end)
      throw UsageError(fmt::format("{} says nothing alone; legal: beside {}", *given, fmt::join(rule.others, " or ")));
    if (rule.kind != Rule::Kind::only_with && other != end)
      throw UsageError(fmt::format("{} and {} exclude each other; legal: one of them", *given, *other));
  }
}

bool sized(double value) {
  constexpr double most = 1e40;
  const double size = std::abs(value);
  return size == 0.0 || (size >= 1.0 / most && size <= most);
}

void require_sized(bool so, std::string_view text, const Where& where) {
  if (!so)
    throw ParseError(where,
                     fmt::format("\"{}\": absurdly large or small; legal: 0, or 1e-40 to 1e40 in SI units", text));
}

std::string legal(const std::vector<Option>& options) {
  std::string list = "legal:";
  for (const Option& option : options) list += " " + option.name;
  return list;
}

}  // namespace

void check_outputs(const Description& description, const Arguments& arguments, const std::vector<std::string>& named) {
  const std::vector<Option> options = all_options(description);
  std::vector<std::pair<std::string, std::string>> files, inputs;
  for (const Argument& a : arguments.in_order()) {
    const auto option =
        std::find_if(options.begin(), options.end(), [&](const Option& o) { return o.name == a.option; });
    if (option->writes) files.emplace_back(a.option, a.text);
    if (option->reads) inputs.emplace_back(a.option, a.text);
  }
  for (const std::string& file : named) inputs.emplace_back("named", file);
  check_distinct(files, inputs);
}

double read_sized(std::string_view text, Unit unit, const Where& where) {
  const double value = read_quantity(text, unit, where);
  require_sized(sized(value), text, where);
  return value;
}

cdouble read_sized_impedance(std::string_view text, const Where& where) {
  const cdouble z = read_impedance(text, where);
  require_sized(sized(z.real()) && sized(z.imag()), text, where);
  return z;
}

Option reading(Option option) {
  option.reads = true;
  return option;
}

Rule only_with(std::vector<std::string> options, std::vector<std::string> others) {
  return {Rule::Kind::only_with, std::move(options), std::move(others)};
}

Rule not_with(std::vector<std::string> options, std::vector<std::string> others) {
  return {Rule::Kind::not_with, std::move(options), std::move(others)};
}

Rule one_of(std::vector<std::string> options) { return {Rule::Kind::one_of, std::move(options), {}}; }

bool Arguments::meets(std::string_view option_with_value) const {
  const std::size_t blank = option_with_value.find(' ');
  if (blank == std::string_view::npos) return has(option_with_value);
  const std::optional<std::string> given = text(option_with_value.substr(0, blank));
  const std::string_view value = option_with_value.substr(blank + 1);
  const auto same = [](unsigned char a, unsigned char b) { return std::tolower(a) == std::tolower(b); };
  return given && std::equal(given->begin(), given->end(), value.begin(), value.end(), same);
}

bool Arguments::has(std::string_view option) const {
  return std::any_of(given_.begin(), given_.end(), [&](const Argument& a) { return a.option == option; });
}

std::optional<std::string> Arguments::text(std::string_view option) const {
  for (const Argument& a : given_) {
    if (a.option == option) return a.text;
  }
  return std::nullopt;
}

std::vector<std::string> Arguments::texts(std::string_view option) const {
  std::vector<std::string> all;
  for (const Argument& a : given_) {
    if (a.option == option) all.push_back(a.text);
  }
  return all;
}

std::optional<double> Arguments::quantity(const std::string& option, Unit unit) const {
  const std::optional<std::string> given = text(option);
  if (!given) return std::nullopt;
  return read_sized(*given, unit, {option, 0, 1});
}

std::optional<double> Arguments::positive(const std::string& option, Unit unit) const {
  const std::optional<double> value = quantity(option, unit);
  if (value && *value <= 0.0) throw ParseError({option, 0, 1}, fmt::format("\"{}\": must be > 0", *text(option)));
  return value;
}

double Arguments::positive(const std::string& option, Unit unit, double otherwise) const {
  return positive(option, unit).value_or(otherwise);
}

double Arguments::not_negative(const std::string& option, Unit unit, double otherwise) const {
  const double value = quantity(option, unit).value_or(otherwise);
  if (value < 0.0) throw ParseError({option, 0, 1}, fmt::format("\"{}\": must be >= 0", *text(option)));
  return value;
}

std::optional<double> Arguments::share(const std::string& option) const {
  std::optional<std::string> given = text(option);
  if (!given) return std::nullopt;
  const bool percent = !given->empty() && given->back() == '%';
  const std::string number = percent ? given->substr(0, given->size() - 1) : *given;
  const double value = read_sized(number, Unit::one, {option, 0, 1}) / (percent ? 100.0 : 1.0);
  if (value < 0.0 || value >= 1.0) {
    throw ParseError({option, 0, 1},
                     fmt::format("\"{}\": out of range; legal: 0 up to below 100%, as 5% or 0.05", *given));
  }
  return value;
}

std::optional<int> Arguments::count(const std::string& option, int least, int most) const {
  const std::optional<double> value = quantity(option, Unit::one);
  if (!value) return std::nullopt;
  if (*value < least || *value > most || *value != std::floor(*value)) {
    throw ParseError({option, 0, 1},
                     fmt::format("\"{}\": out of range; legal: a whole number, {}..{}", *text(option), least, most));
  }
  return static_cast<int>(*value);
}

Format Arguments::format() const {
  if (has("--json") && has("--csv"))
    throw UsageError("--json and --csv exclude each other; legal: one of them or neither");
  return has("--json") ? Format::json : has("--csv") ? Format::csv : Format::text;
}

std::optional<std::string> Arguments::result_output() const {
  if (text("--touchstone") != "-" || has("-o")) return output();
  for (const char* option : {"--json", "--csv"}) {
    if (has(option))
      throw UsageError(std::string(option) +
                       " is of the result, and --touchstone - takes standard output; legal: -o FILE "
                       "beside it");
  }
  return std::nullopt;
}

std::string Arguments::output() const { return text("-o").value_or("-"); }

Arguments read_command_line(const Description& description, int argc, const char* const* argv) {
  const std::vector<Option> options = all_options(description);
  CLI::App app;
  app.set_help_flag();
  app.allow_extras();
  std::map<const CLI::Option*, std::string> names;
  for (const Option& option : options) {
    const bool flag = option.value.empty() && !is_positional(option);
    CLI::Option* added = flag ? app.add_flag(option.name) : app.add_option(option.name);
    if (is_positional(option) && option.repeatable) {
      added->expected(1, 10000)->allow_extra_args();
    } else if (!flag) {
      added->expected(1)->allow_extra_args(false);
    }
    added->multi_option_policy(flag || option.repeatable ? CLI::MultiOptionPolicy::TakeAll
                                                         : CLI::MultiOptionPolicy::Throw);
    names[added] = option.name;
  }
  try {
    app.parse(argc, argv);
  } catch (const CLI::ArgumentMismatch&) {
    for (const auto& [option, name] : names) {
      if (option->count() > 1) throw UsageError(name + " is given more than once; legal: once");
    }
    throw UsageError(fmt::format("{} has no value; legal: a value after it", argv[argc - 1]));
  } catch (const CLI::ParseError& error) {
    throw UsageError(std::string(error.what()) + "; " + legal(options));
  }
  for (const std::string& extra : app.remaining()) {
    const std::string name = extra.substr(0, extra.find('='));
    throw UsageError(fmt::format("{} \"{}\"; {}", extra.rfind('-', 0) == 0 ? "unknown option" : "unexpected argument",
                                 extra.rfind("--", 0) == 0 ? name : extra, legal(options)));
  }
  std::map<const CLI::Option*, std::size_t> used;
  std::vector<Argument> given;
  for (const CLI::Option* option : app.parse_order()) {
    const std::string text = option->results().at(used[option]++);
    const bool flag = option->get_expected_max() == 0;
    given.push_back({names.at(option), flag ? "" : text});
  }
  Arguments arguments(std::move(given));
  if (arguments.has("--help") || arguments.has("--version") || arguments.has("--completion")) return arguments;
  check_rules(description, arguments);
  check_outputs(description, arguments);
  return arguments;
}

std::string help_text(const Description& description) {
  constexpr std::size_t indent = 26, width = 112;
  std::string text = fmt::format("{}: {}\n\nExamples:\n", description.name, description.summary);
  for (const std::string& line : split(description.examples, '\n')) text += "  " + line + "\n";
  text += fmt::format("\nUsage: {} {}\n\nOptions (quantities carry their unit, 14.2MHz; a bare number is SI):\n",
                      description.name, description.usage);
  for (const Option& option : all_options(description)) {
    const std::string head = "  " + option.name + (option.value.empty() ? "" : " " + option.value);
    // The option's name stands in the margin of the first line, or above it when it is too long.
    const bool above = head.size() + 2 > indent;
    text += head;
    text += above ? "\n" : "";
    text += wrapped(option.help, indent, width).substr(above ? 0 : head.size());
  }
  if (!description.notes.empty()) text += "\n" + description.notes;
  text += "\nExit status:\n  0  done\n";
  text += "  1" + wrapped("done, and " + description.does_not_hold, 5, width).substr(3);
  text += "  2  not done: wrong usage, bad input, or the result cannot be written\n";
  return text;
}

std::string version() { return STILE_VERSION; }
std::string version_text(const std::string& name) { return name + " " + version(); }

}  // namespace stile::tools
