#include <stile/base/table.hpp>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdio>
#include <memory>
#include <optional>
#include <system_error>
#include <utility>

#include <stile/base/quantity.hpp>

namespace stile {

namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

/// Walks through the text once, record by record, and keeps line and column.
class Reader {
public:
  Reader(std::string_view text, const std::string& file, char separator)
      : text_(text), file_(file), separator_(separator) {
    if (text_.substr(0, byte_order_mark.size()) == byte_order_mark) text_.remove_prefix(byte_order_mark.size());
  }

  /// The next record that is neither blank nor a comment; nothing at the end of the text.
  std::optional<std::vector<Cell>> next() {
    while (at_ < text_.size()) {
      const std::string_view rest = text_.substr(at_);
      const std::string_view line = rest.substr(0, rest.find('\n'));
      const bool blank = line.find_first_not_of(" \r") == std::string_view::npos;
      if (!blank && line.front() != '#') return record();
      advance(std::min(line.size() + 1, rest.size()));
    }
    return std::nullopt;
  }

  Where here() const { return {file_, line_, at_ - line_start_ + 1}; }

private:
  char peek(std::size_t ahead = 0) const { return at_ + ahead < text_.size() ? text_[at_ + ahead] : '\0'; }
  bool done() const { return at_ >= text_.size(); }
  bool at_line_end() const { return done() || peek() == '\n' || (peek() == '\r' && peek(1) == '\n'); }

  void advance(std::size_t count) {
    for (; count > 0; --count)
      if (text_[at_++] == '\n') {
        ++line_;
        line_start_ = at_;
      }
  }

  std::vector<Cell> record() {
    std::vector<Cell> cells;
    for (;;) {
      cells.push_back(peek() == '"' ? quoted_cell() : bare_cell());
      if (at_line_end()) break;
      advance(1);  // the separator
    }
    if (!done()) advance(peek() == '\r' ? 2 : 1);
    return cells;
  }

  Cell bare_cell() {
    Cell cell{"", here()};
    while (!at_line_end() && peek() != separator_) {
      if (peek() == '"')
        throw ParseError(here(),
                         "quote inside a cell that does not start with one; legal: \"a \"\"word\"\" in quotes\"");
      if (peek() == '\r')
        throw ParseError(here(), "carriage return without line feed; legal: LF or CR LF at a line's end");
      cell.text += peek();
      advance(1);
    }
    return cell;
  }

  Cell quoted_cell() {
    const Where opening = here();
    advance(1);
    Cell cell{"", here()};
    for (;;) {
      if (done()) throw ParseError(opening, "the quote is not closed");
      if (peek() == '"' && peek(1) != '"') break;
      if (peek() == '"') advance(1);  // a doubled quote stands for one
      cell.text += peek();
      advance(1);
    }
    advance(1);
    if (!at_line_end() && peek() != separator_)
      throw ParseError(here(), "text after the closing quote; legal: the separator or the line's end");
    return cell;
  }

  std::string_view text_;
  const std::string& file_;
  char separator_;
  std::size_t at_ = 0;
  std::size_t line_ = 1;
  std::size_t line_start_ = 0;
};

std::string cells(std::size_t count) { return std::to_string(count) + (count == 1 ? " cell" : " cells"); }

std::optional<std::size_t> find_column(const std::vector<Cell>& heading, std::string_view name) {
  const auto found = std::find_if(heading.begin(), heading.end(), [&](const Cell& cell) { return cell.text == name; });
  if (found == heading.end()) return std::nullopt;
  return static_cast<std::size_t>(found - heading.begin());
}

const Cell& cell_at(const Table& table, std::size_t row, std::string_view name) {
  require(row < table.rows.size(), "row must be less than the number of rows");
  return table.rows[row][table.column(name)];
}

struct CloseFile {
  void operator()(std::FILE* file) const { std::fclose(file); }
};

[[noreturn]] void fail_reading(const std::string& path, int error) {
  throw ParseError({path, 0, 0}, "cannot read: " + std::generic_category().message(error));
}

std::string read_all(std::FILE* file, const std::string& path) {
  std::string content;
  std::array<char, 65536> buffer{};
  for (;;) {
    errno = 0;
    const std::size_t count = std::fread(buffer.data(), 1, buffer.size(), file);
    content.append(buffer.data(), count);
    if (count == buffer.size()) continue;
    if (std::ferror(file)) fail_reading(path, errno);
    return content;
  }
}

}  // namespace

std::size_t Table::column(std::string_view name) const {
  if (const auto found = find_column(heading, name)) return *found;
  std::string message = "no column \"" + std::string(name) + "\"; there are:";
  for (const Cell& cell : heading) message += " \"" + cell.text + '"';
  throw ParseError(heading.empty() ? Where{file, 0, 0} : Where{file, heading.front().where.line, 0}, message);
}

bool Table::has_column(std::string_view name) const { return find_column(heading, name).has_value(); }

const std::string& Table::text(std::size_t row, std::string_view name) const { return cell_at(*this, row, name).text; }

double Table::number(std::size_t row, std::string_view name) const {
  const Cell& cell = cell_at(*this, row, name);
  return read_quantity(cell.text, Unit::one, cell.where);
}

Table read_table(std::string_view text, std::string file, char separator) {
  require(separator == ',' || separator == '\t' || separator == ';', "separator must be a comma, a tab or a semicolon");
  Table table;
  table.file = std::move(file);
  Reader reader(text, table.file, separator);
  auto heading = reader.next();
  if (!heading)
    throw ParseError({table.file, reader.here().line, 0}, "no heading line: nothing but blank lines and comments");
  table.heading = std::move(*heading);
  for (std::size_t i = 1; i < table.heading.size(); ++i) {
    const Cell& cell = table.heading[i];
    if (*find_column(table.heading, cell.text) < i)
      throw ParseError(cell.where, "column \"" + cell.text + "\" stands twice in the heading");
  }
  const std::size_t width = table.heading.size();
  while (auto row = reader.next()) {
    if (row->size() != width) {
      const Cell& place = row->size() > width ? (*row)[width] : row->back();
      throw ParseError(place.where, "the row has " + cells(row->size()) + ", the heading has " + cells(width));
    }
    table.rows.push_back(std::move(*row));
  }
  return table;
}

std::string read_text_file(const std::string& path) {
  if (path == "-") return read_all(stdin, path);
  errno = 0;
  const std::unique_ptr<std::FILE, CloseFile> file(std::fopen(path.c_str(), "rb"));
  if (!file) fail_reading(path, errno);
  return read_all(file.get(), path);
}

}  // namespace stile
