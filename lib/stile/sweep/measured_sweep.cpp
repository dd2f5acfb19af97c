#include <stile/sweep/measured_sweep.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <numeric>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include <stile/base/detail/decimal.hpp>
#include <stile/base/table.hpp>
#include <stile/network/waves.hpp>

namespace stile::sweep {
namespace {

using load::TouchstoneFormat;
using load::TouchstoneKind;

struct Word {
  std::string_view text;
  std::size_t column = 0;
};

struct Place {
  std::size_t line = 0, column = 0;
};

std::string lower(std::string_view text) {
  std::string result(text);
  for (char& c : result)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return result;
}

std::string counted(std::size_t n, const char* noun) { return fmt::format("{} {}{}", n, noun, n == 1 ? "" : "s"); }

bool is_blank(char c) { return c == ' ' || c == '\t'; }

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

/// Something seen again and again: one finding, of the first.
struct Seen {
  std::size_t count = 0, line = 0;
  double frequency_hz = 0.0;
  void add(std::size_t at_line, double hz = 0.0) {
    if (count++ == 0) line = at_line, frequency_hz = hz;
  }
};

enum class Column { frequency, r, x, z_magnitude, angle, re, im, reflection, return_loss, swr, other };

enum class Mode { unknown, touchstone, keywords, csv };

}  // namespace

struct SweepReader::State {
  ReadOptions options;
  Sweep sweep;
  Mode mode = Mode::unknown;
  std::string carry;
  std::optional<load::TouchstoneLines> keywords;
  std::size_t number = 0;  // of the current line
  bool ended = false;

  // Touchstone
  std::optional<load::TouchstoneOption> option;
  bool option_missing = false, negative_magnitude = false;
  std::size_t first_data_line = 0, width = 0, named_ports = 0;
  std::vector<Word> words;
  std::vector<double> numbers;
  std::vector<std::string> texts;  // of the numbers, where these are scaled
  std::vector<Place> places;       // of the numbers: a point of three ports or more stands on several lines
  std::size_t in_row = 0;          // of three ports and more: pairs of the current row read so far
  bool decimals_known = true;
  std::size_t rises = 0, first_fall = 0, first_fall_column = 0;
  Seen bytes, commas, indented, further, order, noise, wide;

  // CSV
  char separator = ',';
  std::vector<Column> columns;
  int exponent = 0;

  State(std::string file, ReadOptions o) : options(std::move(o)) {
    sweep.file = std::move(file);
    sweep.format = "CSV";
    const std::string name = lower(sweep.file);
    if (name.ends_with(".csv") || name.ends_with(".tsv")) mode = Mode::csv;
    if (const auto ports = load::ports_of_touchstone_name(sweep.file)) {
      named_ports = *ports;
      mode = Mode::touchstone;
    } else if (name.ends_with(".ts")) {
      mode = Mode::touchstone;
    }
    require(std::isfinite(options.reference_ohm) && options.reference_ohm > 0.0,
            "the reference must be finite and greater than 0 ohm");
  }

  [[noreturn]] void fail(std::size_t column, const std::string& message) const {
    throw ParseError({sweep.file, number, column}, message);
  }
  /// Of the point's number `at`, on whichever line it stands.
  [[noreturn]] void fail_at(std::size_t at, const std::string& message) const {
    throw ParseError({sweep.file, places[at].line, places[at].column}, message);
  }

  // ---- lines

  void take(std::string_view block) {
    std::size_t start = 0;
    while (start < block.size()) {
      const std::size_t end = block.find('\n', start);
      if (end == std::string_view::npos) break;
      const std::string_view chunk = block.substr(start, end - start);
      if (!carry.empty()) {
        carry += chunk;
        take_lines(carry);
        carry.clear();
      } else {
        take_lines(chunk);
      }
      start = end + 1;
    }
    carry += block.substr(std::min(start, block.size()));
  }

  /// A stretch between line feeds: one line, or several that end with a carriage return alone.
  void take_lines(std::string_view chunk) {
    if (!chunk.empty() && chunk.back() == '\r') chunk.remove_suffix(1);
    while (true) {
      const std::size_t cr = chunk.find('\r');
      ++number;
      take_line(chunk.substr(0, cr));
      if (cr == std::string_view::npos) return;
      chunk.remove_prefix(cr + 1);
    }
  }

  void take_line(std::string_view line) {
    if (number == 1 && line.starts_with("\xEF\xBB\xBF")) line.remove_prefix(3);
    if (mode == Mode::unknown) {
      const std::string_view content = trimmed(line);
      if (content.empty()) return;
      const char c = content.front();
      mode =
          c == '!' || c == '#' || c == '[' || detail::decimal_end(content, 0, true) > 0 ? Mode::touchstone : Mode::csv;
    }
    if (mode == Mode::csv) {
      take_csv(line);
    } else if (keywords) {
      keywords->line(line);
    } else {
      take_touchstone(line);
    }
  }

  // ---- Touchstone, version 1

  void take_touchstone(std::string_view line) {
    if (!option && !option_missing && sweep.frequency_hz.empty()) {
      const std::string_view content = trimmed(line.substr(0, line.find('!')));
      if (!content.empty() && content.front() == '[') {
        begin_keywords();
        keywords->line(line);
        return;
      }
    }
    std::size_t comment = line.size();
    for (std::size_t i = 0; i < line.size(); ++i) {
      const auto byte = static_cast<unsigned char>(line[i]);
      if (line[i] == '!' && comment == line.size()) comment = i;
      if (byte == '\t' || (byte >= 0x20 && byte <= 0x7E)) continue;
      if (i < comment)
        fail(i + 1, fmt::format("byte 0x{:02X} is not legal outside a comment; printable ASCII and tabs are", byte));
      bytes.add(number);
      break;
    }
    line = line.substr(0, comment);
    words.clear();
    for (std::size_t i = 0; i < line.size();) {
      if (is_blank(line[i])) {
        ++i;
        continue;
      }
      const std::size_t start = i;
      while (i < line.size() && !is_blank(line[i])) ++i;
      words.push_back({line.substr(start, i - start), start + 1});
    }
    if (words.empty()) return;
    const char first = words.front().text.front();
    if (first == '[') {
      fail(words.front().column, lower(words.front().text) == "[version]"
                                     ? "[Version] must be the first line that is not a comment"
                                     : "a keyword in a file that does not begin with [Version] 2.0 or 2.1");
    }
    if (first == '#') {
      take_option(line);
    } else {
      take_data();
    }
  }

  void begin_keywords() {
    mode = Mode::keywords;
    keywords.emplace(sweep.file, number, [this](const load::TouchstonePoint& point) {
      sweep.frequency_hz.push_back(point.frequency_hz);
      sweep.line.push_back(point.line);
      sweep.values.insert(sweep.values.end(), point.matrix.begin(), point.matrix.end());
    });
  }

  void take_option(std::string_view line) {
    if (option || option_missing) {
      further.add(number);
      return;
    }
    option = load::read_touchstone_option(line, {sweep.file, number, 0});
    if (words.front().column != 1) indented.add(number);
  }

  /// A number, a decimal comma read as a point.
  double number_of(const Word& word, int power) {
    std::string_view text = word.text;
    std::string with_point;
    if (text.empty() || detail::decimal_end(text, 0, true) != text.size()) {
      const std::size_t comma = text.find(',');
      if (comma != std::string_view::npos) {
        with_point = text;
        with_point[comma] = '.';
      }
      if (with_point.empty() || detail::decimal_end(with_point, 0, true) != with_point.size())
        fail(word.column, fmt::format("\"{}\" is not a finite decimal number such as -12.5 or 1.8e6", text));
      commas.add(number);
      text = with_point;
    }
    const auto value = detail::decimal_value<double>(text, power);
    if (!value) fail(word.column, fmt::format("\"{}\" is outside the range of a double, 2.3e-308 to 1.7e308", text));
    return *value;
  }

  void take_data() {
    if (sweep.frequency_hz.empty()) begin_data();
    if (width == 9 && words.size() == 5 && !sweep.frequency_hz.empty()) {
      for (const Word& word : words) (void)number_of(word, 0);
      noise.add(number);
      return;
    }
    if (noise.count > 0)
      fail(words.front().column, counted(words.size(), "number") + " on a line of the noise data; it has 5");
    const std::size_t already = sweep.ports > 2 ? numbers.size() : 0;
    if (already == 0) {
      numbers.clear();
      texts.clear();
      places.clear();
    }
    for (const Word& word : words) {
      numbers.push_back(number_of(word, numbers.empty() ? option->exponent : 0));
      places.push_back({number, word.column});
      if (sweep.kind != TouchstoneKind::s) texts.emplace_back(word.text);
    }
    if (sweep.ports > 2) {
      take_row(already);
      return;
    }
    if (words.size() != width)
      fail(words.size() > width ? words[width].column : words.front().column,
           counted(words.size(), "number") +
               fmt::format(" on a data line; this file of {} has {}", counted(sweep.ports, "port"), width));
    take_frequency();
    const std::size_t n = sweep.ports;
    if (n == 1) {
      sweep.values.push_back(value(1, 0, 0));
    } else {
      const cdouble n11 = value(1, 0, 0), n21 = value(3, 1, 0), n12 = value(5, 0, 1), n22 = value(7, 1, 1);
      for (const cdouble s : {n11, n12, n21, n22}) sweep.values.push_back(s);
    }
  }

  /// The first line of a point: its frequency, and how many digits its first pair has.
  void take_frequency() {
    if (numbers[0] < 0.0) fail(words[0].column, "a frequency must not be negative");
    if (!sweep.frequency_hz.empty()) {
      if (numbers[0] > sweep.frequency_hz.back()) {
        ++rises;
      } else if (first_fall == 0) {
        first_fall = number, first_fall_column = words[0].column;
      }
    }
    sweep.frequency_hz.push_back(numbers[0]);
    sweep.line.push_back(number);
    note_decimals();
  }

  /// Of three ports and more a point stands row by row, each on a new line of whole pairs.
  void take_row(std::size_t already) {
    const std::size_t n = sweep.ports, first = already == 0 ? 1 : 0;
    if (words.size() < first + 2 || (words.size() - first) % 2 != 0)
      fail(words.front().column,
           counted(words.size(), "number") + (first == 1 ? " where a point begins; it takes a frequency and pairs"
                                                         : " inside a point; it takes whole pairs"));
    const std::size_t pairs = (words.size() - first) / 2;
    if (pairs > 4) wide.add(number);
    in_row += pairs;
    if (in_row > n)
      fail(words.front().column,
           fmt::format("a row of a {}-port has {} pairs, here are {}; each row begins on a new line", n, n, in_row));
    if (in_row == n) in_row = 0;
    if (first == 1) take_frequency();
    if (option->format == TouchstoneFormat::ma)
      for (std::size_t i = first; i < words.size(); i += 2)
        if (numbers[already + i] < 0.0)
          fail(words[i].column,
               "a magnitude must not be negative; real and imaginary parts need RI on the option line");
    if (numbers.size() < width) return;
    for (std::size_t row = 0; row < n; ++row)
      for (std::size_t column = 0; column < n; ++column)
        sweep.values.push_back(value(1 + 2 * (row * n + column), row, column));
    numbers.clear();
    texts.clear();
    places.clear();
  }

  void begin_data() {
    first_data_line = number;
    if (!option) {
      if (options.option_line) {
        const bool marked = options.option_line->find('#') != std::string::npos;
        option = load::read_touchstone_option(marked ? *options.option_line : "# " + *options.option_line,
                                              {"the option line given", 0, 0});
        sweep.findings.push_back(
            {FindingKind::option_line, number, 0.0, 1, "the file has no option line; read with the one given"});
      } else {
        option_missing = true;
        option.emplace();
        option->format = TouchstoneFormat::ri;
      }
    }
    if (named_ports <= 2 && option->reference_ohm.size() > 2)
      fail(0, counted(option->reference_ohm.size(), "reference") + " after R for a file of one or two ports");
    width = words.size();
    if (named_ports == 1 && width == 5) {
      sweep.findings.push_back({FindingKind::columns, number, 0.0, 1,
                                "5 numbers on a line under a one-port name; the first pair is read as S11, the second "
                                "(S21, as it seems) is left out"});
      sweep.ports = 1;
    } else if (named_ports != 0) {
      sweep.ports = named_ports;
      width = 1 + 2 * named_ports * named_ports;
    } else if (width == 3 || width == 9) {
      sweep.ports = width == 3 ? 1 : 2;
    } else {
      fail(words.front().column, counted(width, "number") +
                                     " on the first data line; 3 (one port) and 9 (two ports) can be told apart "
                                     "without a file name that ends in .s1p, .s2p ...");
    }
    if ((option->kind == TouchstoneKind::h || option->kind == TouchstoneKind::g) && sweep.ports != 2)
      throw ParseError({sweep.file, option->line, 0},
                       fmt::format("H and G parameters exist for two ports only, this file has {}", sweep.ports));
    const auto& references = option->reference_ohm;
    if (references.size() > 1 && references.size() != sweep.ports)
      throw ParseError({sweep.file, option->line, option->reference_column},
                       counted(references.size(), "reference") + " after R for " + counted(sweep.ports, "port") +
                           "; legal: one, or one a port");
    if (option->kind != TouchstoneKind::s &&
        std::any_of(references.begin(), references.end(), [&](double r) { return r != references.front(); }))
      throw ParseError({sweep.file, option->line, option->reference_column},
                       "different references a port are defined for S parameters only");
    sweep.kind = option->kind;
    sweep.format = references.size() > 1 ? "Touchstone 1.1" : "Touchstone 1.0";
    sweep.reference_ohm = references;
    if (references.size() == 1) sweep.reference_ohm.assign(sweep.ports, references.front());
  }

  /// The pair that starts at number `at` of the point.
  cdouble value(std::size_t at, std::size_t row, std::size_t column) {
    const long double factor = load::touchstone_factor(sweep.kind, row, column, sweep.reference_ohm.front());
    double first = numbers[at], second = numbers[at + 1];
    switch (option->format) {
    case TouchstoneFormat::ri:
      if (option_missing && first < 0.0) negative_magnitude = true;
      return {scaled(at, factor), scaled(at + 1, factor)};
    case TouchstoneFormat::db:
      first = std::pow(10.0, first / 20.0) * static_cast<double>(factor);
      break;
    case TouchstoneFormat::ma:
      if (first < 0.0)
        fail_at(at, "a magnitude must not be negative; real and imaginary parts need RI on the option line");
      first = scaled(at, factor);
      break;
    }
    if (!std::isfinite(first)) fail_at(at, "the magnitude is outside the range of a double");
    return load::touchstone_polar(first, second);
  }

  /// Rounded once from extended precision, so that what was written as value / R comes back to the last bit.
  double scaled(std::size_t at, long double factor) {
    if (factor == 1.0L) return numbers[at];
    const auto value = detail::decimal_value<long double>(texts[at]);
    const auto product = static_cast<double>(value.value_or(static_cast<long double>(numbers[at])) * factor);
    if (!std::isfinite(product)) fail_at(at, "the value times the reference is outside the range of a double");
    return product;
  }

  /// Digits behind the point that each column of the first pair is written with, at most.
  void note_decimals() {
    if (!decimals_known) return;
    for (const std::size_t at : {std::size_t{1}, std::size_t{2}}) {
      const std::string_view text = words[at].text;
      if (text.find_first_of("eE") != std::string_view::npos) {
        decimals_known = false;
        return;
      }
      const std::size_t point = text.find_first_of(".,");
      const int behind = point == std::string_view::npos ? 0 : static_cast<int>(text.size() - point - 1);
      most_decimals[at - 1] = std::max(most_decimals[at - 1], behind);
    }
  }
  std::array<int, 2> most_decimals{-1, -1};

  ColumnSteps rounding_of_pair() const {
    if (!decimals_known || most_decimals[0] < 0) return {};
    const double a = 0.5 * std::pow(10.0, -most_decimals[0]), b = 0.5 * std::pow(10.0, -most_decimals[1]);
    const double factor = static_cast<double>(load::touchstone_factor(sweep.kind, 0, 0, sweep.reference_ohm.front()));
    constexpr double radian = 0.017453292519943295;
    switch (option->format) {
    case TouchstoneFormat::ri:
      return {ColumnSteps::Of::parts, a * factor, b * factor};
    case TouchstoneFormat::ma:
      return {ColumnSteps::Of::polar, a * factor, b * radian};
    case TouchstoneFormat::db:
      break;
    }
    return {ColumnSteps::Of::decibel_polar, a, b * radian};
  }

  // ---- CSV

  void take_csv(std::string_view line) {
    if (trimmed(line).empty() || line.front() == '#') return;
    if (columns.empty()) {
      take_heading(line);
      return;
    }
    words.clear();
    std::size_t start = 0;
    while (true) {
      const std::size_t text = std::min(line.find_first_not_of(" \t", start), line.size());
      std::size_t from = start, end = 0;
      std::string_view cell;
      if (text < line.size() && line[text] == '"' && line[text] != separator) {
        // In quotes a separator is text; a quote is written twice. Only columns that are left out hold such.
        std::size_t close = line.find('"', text + 1);
        while (close != std::string_view::npos && close + 1 < line.size() && line[close + 1] == '"')
          close = line.find('"', close + 2);
        if (close == std::string_view::npos) fail(text + 1, "a quote that is not closed on its line");
        end = std::min(line.find(separator, close), line.size());
        if (!trimmed(line.substr(close + 1, end - close - 1)).empty()) fail(close + 2, "text after a closing quote");
        cell = trimmed(line.substr(text + 1, close - text - 1));
        from = text + 1;
      } else {
        end = std::min(line.find(separator, start), line.size());
        cell = trimmed(line.substr(start, end - start));
      }
      words.push_back({cell, from + 1});
      if (end == line.size()) break;
      start = end + 1;
    }
    if (words.size() != columns.size())
      fail(1, fmt::format("{} where the heading has {}", counted(words.size(), "cell"), columns.size()));
    double f = 0.0, a = 0.0, b = 0.0;
    for (std::size_t i = 0; i < columns.size(); ++i) {
      if (columns[i] == Column::other) continue;
      const bool frequency = columns[i] == Column::frequency;
      const double v = number_of(words[i], frequency ? exponent : 0);
      if (frequency) {
        f = v;
        if (f < 0.0) fail(words[i].column, "a frequency must not be negative");
        continue;
      }
      const std::size_t point = words[i].text.find_first_of(".,");
      if (words[i].text.find_first_of("eE") != std::string_view::npos) decimals_known = false;
      const bool second = columns[i] == Column::x || columns[i] == Column::angle || columns[i] == Column::im;
      auto& most = most_decimals[second ? 1 : 0];
      most = std::max(most, point == std::string_view::npos ? 0 : static_cast<int>(words[i].text.size() - point - 1));
      if (columns[i] == Column::swr && v < 1.0) fail(words[i].column, "an SWR must be at least 1");
      if ((columns[i] == Column::z_magnitude || columns[i] == Column::reflection) && v < 0.0)
        fail(words[i].column, "a magnitude must not be negative");
      (second ? b : a) = v;
      if (columns[i] == Column::swr) a = network::reflection_abs_from_swr(v);
      if (columns[i] == Column::return_loss) a = std::pow(10.0, -std::abs(v) / 20.0);
    }
    if (!sweep.frequency_hz.empty()) {
      if (f > sweep.frequency_hz.back()) {
        ++rises;
      } else if (first_fall == 0) {
        first_fall = number, first_fall_column = 1;
      }
    }
    sweep.frequency_hz.push_back(f);
    sweep.line.push_back(number);
    sweep.values.push_back(polar ? load::touchstone_polar(a, b) : cdouble(a, b));
  }
  bool polar = false;

  void take_heading(std::string_view line) {
    separator = line.find(';') != std::string_view::npos ? ';' : line.find('\t') != std::string_view::npos ? '\t' : ',';
    const Table table = read_table(line, sweep.file, separator);
    std::array<bool, 11> has{};
    for (const Cell& cell : table.heading) {
      const std::string name = lower(trimmed(cell.text));
      Column column = Column::other;
      for (const auto& [known, which, power] :
           {std::tuple{"frequency_hz", Column::frequency, 0}, std::tuple{"frequency_khz", Column::frequency, 3},
            std::tuple{"frequency_mhz", Column::frequency, 6}, std::tuple{"frequency_ghz", Column::frequency, 9},
            std::tuple{"r_ohm", Column::r, 0}, std::tuple{"x_ohm", Column::x, 0},
            std::tuple{"z_ohm", Column::z_magnitude, 0}, std::tuple{"angle_deg", Column::angle, 0},
            std::tuple{"s11_re", Column::re, 0}, std::tuple{"s11_im", Column::im, 0},
            std::tuple{"reflection", Column::reflection, 0}, std::tuple{"return_loss_db", Column::return_loss, 0},
            std::tuple{"swr", Column::swr, 0}}) {
        if (name != known) continue;
        column = which;
        if (which == Column::frequency) exponent = power;
      }
      columns.push_back(column);
      has[static_cast<std::size_t>(column)] = true;
    }
    const auto with = [&](Column c) { return has[static_cast<std::size_t>(c)]; };
    const auto keep = [&](std::initializer_list<Column> kept) {
      for (Column& c : columns)
        if (c != Column::frequency && std::find(kept.begin(), kept.end(), c) == kept.end()) c = Column::other;
    };
    const char* legal =
        "; legal: frequency_hz (_khz, _mhz, _ghz) with r_ohm and x_ohm, z_ohm and angle_deg, s11_re and s11_im, "
        "reflection or return_loss_db and angle_deg, or one of swr, reflection, return_loss_db alone";
    if (!with(Column::frequency)) fail(1, std::string("no column of frequencies") + legal);
    sweep.kind = TouchstoneKind::s;
    sweep.reference_ohm = {options.reference_ohm};
    if (with(Column::r) && with(Column::x)) {
      sweep.kind = TouchstoneKind::z;
      keep({Column::r, Column::x});
    } else if (with(Column::z_magnitude) && with(Column::angle)) {
      sweep.kind = TouchstoneKind::z;
      polar = true;
      keep({Column::z_magnitude, Column::angle});
    } else if (with(Column::re) && with(Column::im)) {
      keep({Column::re, Column::im});
    } else if (with(Column::reflection) || with(Column::return_loss)) {
      const Column magnitude = with(Column::reflection) ? Column::reflection : Column::return_loss;
      polar = with(Column::angle);
      sweep.magnitude_only = !polar;
      keep({magnitude, Column::angle});
    } else if (with(Column::swr)) {
      sweep.magnitude_only = true;
      keep({Column::swr});
    } else {
      fail(1, std::string("no columns that give an impedance or a reflection") + legal);
    }
  }

  // ---- the end

  Sweep finish() {
    if (!carry.empty()) take_lines(std::exchange(carry, {}));
    if (mode == Mode::keywords) return finish_strict();
    if (sweep.frequency_hz.empty()) {
      if (named_ports != 2 && option && (option->kind == TouchstoneKind::h || option->kind == TouchstoneKind::g))
        throw ParseError({sweep.file, option->line, 0}, "H and G parameters exist for two ports only");
      throw ParseError({sweep.file, std::max<std::size_t>(number, 1), 0}, mode == Mode::csv && columns.empty()
                                                                              ? "the file holds no heading"
                                                                              : "the file ends without data");
    }
    if (option_missing) check_missing_option();
    if (sweep.frequency_hz.size() > 1 && rises == 0) {
      const bool same = sweep.frequency_hz[1] == sweep.frequency_hz[0];
      throw ParseError({sweep.file, first_fall, first_fall_column},
                       fmt::format("{} the frequency of line {}, and no frequency of the file is above the one before; "
                                   "frequencies must strictly increase",
                                   same ? "repeats" : "is below", sweep.line[0]));
    }
    if (sweep.ports > 2 && !numbers.empty())
      throw ParseError({sweep.file, number, 0},
                       fmt::format("the file ends inside a point: {} numbers of {}", numbers.size(), width));
    if (mode == Mode::csv) {
      if (decimals_known && !sweep.magnitude_only) {
        using Of = ColumnSteps::Of;
        const bool decibel = std::find(columns.begin(), columns.end(), Column::return_loss) != columns.end();
        const double a = 0.5 * std::pow(10.0, -most_decimals[0]), b = 0.5 * std::pow(10.0, -most_decimals[1]);
        sweep.rounding = {polar ? (decibel ? Of::decibel_polar : Of::polar) : Of::parts, a,
                          polar ? b * 0.017453292519943295 : b};
      }
    } else {
      sweep.rounding = rounding_of_pair();
    }
    report();
    sort_and_thin();
    std::stable_sort(sweep.findings.begin(), sweep.findings.end(),
                     [](const Finding& a, const Finding& b) { return a.kind < b.kind; });
    return std::move(sweep);
  }

  Sweep finish_strict() {
    const load::TouchstoneFile file = keywords->finish();
    sweep.format = "Touchstone " + file.version;
    sweep.ports = file.ports;
    sweep.kind = file.kind;
    sweep.reference_ohm = file.reference_ohm;
    for (const load::TouchstoneWarning& w : file.warnings)
      sweep.findings.push_back({FindingKind::option_line, w.line, 0.0, 1, w.message});
    if (!file.noise.empty())
      sweep.findings.push_back({FindingKind::noise_block, file.noise.front().line, file.noise.front().frequency_hz,
                                file.noise.size(), counted(file.noise.size(), "line") + " of noise data left out"});
    return std::move(sweep);
  }

  void check_missing_option() {
    double largest = 0.0;
    for (const cdouble& v : sweep.values) largest = std::max({largest, std::abs(v.real()), std::abs(v.imag())});
    if (!negative_magnitude || largest > 1.1)
      throw ParseError(
          {sweep.file, first_data_line, 1},
          "no option line before the data, and the numbers do not tell what they are; a version 1 file needs "
          "one, for instance \"# MHz S RI R 50\"");
    sweep.findings.push_back(
        {FindingKind::option_line, first_data_line, 0.0, 1,
         "no option line: negative numbers where magnitudes would stand and none above 1.1, so read as "
         "real and imaginary parts of S; GHz and 50 ohm are the standard's defaults, not stated"});
  }

  void report() {
    const auto add = [&](const Seen& seen, FindingKind kind, const std::string& text) {
      if (seen.count > 0) sweep.findings.push_back({kind, seen.line, seen.frequency_hz, seen.count, text});
    };
    add(bytes, FindingKind::characters,
        counted(bytes.count, "comment line") + " with bytes that are not printable ASCII");
    add(commas, FindingKind::decimal_comma,
        counted(commas.count, "number") + " with a decimal comma, read as a decimal point");
    add(indented, FindingKind::option_line, "blanks before the option line");
    add(wide, FindingKind::columns, "more than four pairs on " + counted(wide.count, "line"));
    add(further, FindingKind::option_line, counted(further.count, "further option line") + " without effect");
    add(noise, FindingKind::noise_block, counted(noise.count, "line") + " of noise data left out");
  }

  void sort_and_thin() {
    const std::size_t n = sweep.frequency_hz.size(), block = sweep.ports * sweep.ports;
    if (rises + 1 == n) return;
    std::vector<std::size_t> index(n);
    std::iota(index.begin(), index.end(), std::size_t{0});
    for (std::size_t i = 1; i < n; ++i)
      if (sweep.frequency_hz[i] < sweep.frequency_hz[i - 1]) order.add(sweep.line[i], sweep.frequency_hz[i]);
    if (order.count > 0)
      sweep.findings.push_back({FindingKind::order, order.line, order.frequency_hz, order.count,
                                fmt::format("the frequency falls {}; the points are sorted",
                                            order.count == 1 ? "once" : fmt::format("{} times", order.count))});
    std::stable_sort(index.begin(), index.end(),
                     [&](std::size_t a, std::size_t b) { return sweep.frequency_hz[a] < sweep.frequency_hz[b]; });
    Sweep kept = sweep;
    kept.frequency_hz.clear();
    kept.values.clear();
    kept.line.clear();
    Seen twice;
    double furthest = 0.0;
    for (const std::size_t i : index) {
      if (!kept.frequency_hz.empty() && sweep.frequency_hz[i] == kept.frequency_hz.back()) {
        twice.add(sweep.line[i], sweep.frequency_hz[i]);
        const cdouble before = kept.values[kept.values.size() - block];
        furthest = std::max(furthest, std::abs(sweep.values[i * block] - before));
        continue;
      }
      kept.frequency_hz.push_back(sweep.frequency_hz[i]);
      kept.line.push_back(sweep.line[i]);
      for (std::size_t k = 0; k < block; ++k) kept.values.push_back(sweep.values[i * block + k]);
    }
    if (twice.count > 0) {
      kept.findings.push_back(
          {FindingKind::duplicate, twice.line, twice.frequency_hz, twice.count,
           fmt::format("{} with the frequency of another; the first reading is kept, the others differ "
                       "by up to {:.3g}",
                       counted(twice.count, "point"), furthest)});
      if (5 * twice.count > n)
        kept.findings.push_back(
            {FindingKind::rounding, twice.line, twice.frequency_hz, twice.count,
             fmt::format("the frequencies are rounded: {} of {} points repeat another's", twice.count, n)});
    }
    sweep = std::move(kept);
  }
};

SweepReader::SweepReader(std::string file, ReadOptions options)
    : state_(std::make_unique<State>(std::move(file), std::move(options))) {}
SweepReader::SweepReader(SweepReader&&) noexcept = default;
SweepReader& SweepReader::operator=(SweepReader&&) noexcept = default;
SweepReader::~SweepReader() = default;

void SweepReader::take(std::string_view block) { state_->take(block); }
Sweep SweepReader::finish() { return state_->finish(); }

double rounding_at(const Sweep& sweep, std::size_t point) {
  const ColumnSteps& r = sweep.rounding;
  const double magnitude = std::abs(sweep.at(point)[0]);
  switch (r.of) {
  case ColumnSteps::Of::parts:
    return std::max(r.first, r.second);
  case ColumnSteps::Of::polar:
    return std::max(r.first, magnitude * r.second);
  case ColumnSteps::Of::decibel_polar:
    break;
  }
  return magnitude * std::max(0.11512925464970229 * r.first, r.second);  // ln 10 / 20
}

Sweep in_band(const Sweep& sweep, std::optional<double> low_hz, std::optional<double> high_hz) {
  const auto& f = sweep.frequency_hz;
  auto begin = f.begin(), end = f.end();
  if (low_hz) begin = std::upper_bound(begin, end, *low_hz);
  if (low_hz && begin != f.begin()) --begin;
  if (high_hz) end = std::lower_bound(begin, end, *high_hz);
  if (high_hz && end != f.end()) ++end;
  if (begin == end) throw Error(sweep.file + ": it has no point in the band");
  const auto first = begin - f.begin(), last = end - f.begin();
  const auto block = static_cast<std::ptrdiff_t>(sweep.ports * sweep.ports);
  Sweep cut = sweep;
  cut.frequency_hz.assign(begin, end);
  cut.line.assign(sweep.line.begin() + first, sweep.line.begin() + last);
  cut.values.assign(sweep.values.begin() + first * block, sweep.values.begin() + last * block);
  return cut;
}

Sweep read_sweep_text(std::string_view text, std::string file, const ReadOptions& options) {
  SweepReader reader(std::move(file), options);
  reader.take(text);
  return reader.finish();
}

Sweep read_sweep_file(const std::string& path, const ReadOptions& options) {
  struct Close {
    void operator()(std::FILE* file) const {
      if (file != stdin) std::fclose(file);
    }
  };
  const std::unique_ptr<std::FILE, Close> file(path == "-" ? stdin : std::fopen(path.c_str(), "rb"));
  const auto fail = [&] {
    throw ParseError({path, 0, 0}, "cannot be read: " + std::error_code(errno, std::generic_category()).message());
  };
  if (!file) fail();
  SweepReader reader(path, options);
  std::vector<char> block(std::size_t{1} << 18U);
  while (true) {
    const std::size_t got = std::fread(block.data(), 1, block.size(), file.get());
    if (got == 0) break;
    reader.take({block.data(), got});
  }
  if (std::ferror(file.get()) != 0) fail();
  return reader.finish();
}

}  // namespace stile::sweep
