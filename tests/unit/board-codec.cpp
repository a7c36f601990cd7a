// Runs the board's portable code over the vectors (standard input: their lines), and writes what it makes of each.
#include <cstdint>
#include <cstdlib>
#include <iostream>
#include <sstream>
#include <string>
#include <vector>

#include "../../firmware-proto/board/src/events.h"
#include "../../firmware-proto/board/src/line.h"
#include "../../firmware-proto/board/src/queue.h"
#include "../../firmware-proto/board/src/request.h"

static std::string unescape(const std::string &text) {
  std::string bytes;
  for (size_t i = 0; i < text.size(); i++) {
    if (text.compare(i, 2, "\\x") == 0) {
      bytes += (char)std::stoi(text.substr(i + 2, 2), nullptr, 16);
      i += 3;
    } else {
      bytes += text[i];
    }
  }
  return bytes;
}

static std::vector<std::string> split(const std::string &text, char separator) {
  std::vector<std::string> parts(1);
  for (char c : text) {
    if (c == separator) {
      parts.emplace_back();
    } else {
      parts.back() += c;
    }
  }
  return parts;
}

static bool isNumber(const std::string &field) {
  return field.find_first_not_of("0123456789", field[0] == '-' ? 1 : 0) == std::string::npos && field != "-";
}

static void crc(const std::string &text) {
  uint16_t crc = crcStart;
  for (char c : unescape(text)) crc = crcOf(crc, (uint8_t)c);
  Line line;
  line.begin(' ');
  line.moreHexadecimal(crc, 4);
  line.seal();
  std::cout << "crc\t" << text << '\t' << std::string(line.bytes() + 1, 4) << '\n';
}

// Numbers go through the number writers, the rest as text, as the sketch does it.
static void body(const std::string &text) {
  Line line;
  std::vector<std::string> fields = split(text, ' ');
  line.begin(fields[0][0]);
  for (size_t i = 1; i < fields.size(); i++) {
    if (!isNumber(fields[i])) {
      line.text(fields[i].c_str());
    } else if (fields[i][0] == '-') {
      line.integer((int32_t)std::stoll(fields[i]));
    } else {
      line.natural((uint32_t)std::stoull(fields[i]));
    }
  }
  uint8_t length = line.seal();
  std::cout << "line\t" << text << '\t' << std::string(line.bytes(), length - 2) << '\n';
}

static void request(const std::string &bytes) {
  static const char *const names[] = {"-",     "hello", "rate ", "selftest", "accdir ", "magdir ",
                                      "light ", "blink", "keep", "refuse rate range", "refuse accdir axes",
                                      "refuse magdir axes"};
  RequestReader reader;
  Request found = Request::none;
  for (char c : unescape(bytes) + "\n") {
    Request request = reader.feed(c);
    if (request != Request::none) found = request;
  }
  std::cout << "request\t" << bytes << '\t' << names[(int)found];
  if (found == Request::rate) std::cout << (int)reader.rateHz();
  if (found == Request::accelerometerAxes || found == Request::magnetometerAxes) std::cout << reader.axes();
  if (found == Request::light) std::cout << (reader.isOn() ? "on" : "off");
  std::cout << '\n';
}

// Every spelling of an orientation that is right-handed, in the order of signs and letters.
static void axes() {
  std::string all;
  const char signs[] = "+-", letters[] = "XYZ";
  for (int code = 0; code < 216; code++) {
    std::string text;
    for (int part = 0, rest = code; part < 3; part++, rest /= 6) {
      text += signs[rest % 2];
      text += letters[rest % 6 / 2];
    }
    if (areProperAxes(text.c_str())) all += text + ' ';
  }
  std::cout << all << '\n';
}

// What is told after 3 late instants, 1 stuck bus and 2 late instants more, asked for twice.
static void events() {
  Events events;
  events.note(Event::late, 3);
  events.note(Event::busStuck);
  events.note(Event::late, 2);
  for (uint8_t number = 0; number < 20; number++) {
    Line line;
    if (!events.report(line, number % 10)) continue;
    uint8_t length = line.seal();
    std::cout << std::string(line.bytes(), length - 2) << '\n';
  }
}

// Lines of different lengths go in until one is refused; all of them come out again, whole and in order.
static void queue(int turns) {
  Queue queue;
  std::string in, out;
  int refused = 0;
  for (int turn = 0; turn < turns; turn++) {
    for (uint8_t length = 1; length < 180; length += 37) {
      std::string line(length, (char)('a' + turn % 26));
      if (queue.push(line.data(), length)) {
        in += line;
      } else {
        refused++;
      }
    }
    for (int i = 0; i < 300 && !queue.empty(); i++) out += queue.pop();
  }
  while (!queue.empty()) out += queue.pop();
  std::cout << (in == out ? "same" : "different") << ' ' << (refused > 0 ? "some" : "none") << " refused\n";
}

int main() {
  std::string vector;
  while (std::getline(std::cin, vector)) {
    std::vector<std::string> parts = split(vector, '\t');
    if (parts[0] == "crc") crc(parts[1]);
    if (parts[0] == "line") body(parts[1]);
    if (parts[0] == "request") request(parts[1]);
    if (parts[0] == "events") events();
    if (parts[0] == "axes") axes();
    if (parts[0] == "queue") queue(std::atoi(parts[1].c_str()));
    if (parts[0] == "overflow") {
      Line line;
      line.begin('E');
      for (int i = 0; i < std::atoi(parts[1].c_str()) - 1; i++) line.more("a");
      std::cout << "overflow\t" << parts[1] << '\t' << (int)line.seal() << '\n';
    }
  }
}
