#include "numeric/expression.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <iterator>
#include <optional>
#include <string>
#include <utility>

#include "core/text_lines.h"

namespace revwright {
namespace {

constexpr std::size_t kDeepest = 64;
constexpr std::size_t kMostSteps = 4096;
constexpr std::size_t kMostInputs = 255;
// Each level of nesting holds back at most a sum, a product and the base of a power or a first argument.
constexpr std::size_t kStack = 3 * (kDeepest + 1) + 1;

struct OfTwo {
    std::string_view name;  // empty: an operator only
    double (*value)(double, double);
    std::size_t most = 2;  // arguments; more than two are taken from the left
};
// What is not a number stays that in min and max too.
constexpr OfTwo kOfTwo[] = {
    {"", [](double a, double b) { return a + b; }},
    {"", [](double a, double b) { return a - b; }},
    {"", [](double a, double b) { return a * b; }},
    {"", [](double a, double b) { return a / b; }},
    {"pow", [](double a, double b) { return std::pow(a, b); }},
    {"min", [](double a, double b) { return b < a || std::isnan(b) ? b : a; }, kMostSteps},
    {"max", [](double a, double b) { return b > a || std::isnan(b) ? b : a; }, kMostSteps},
};

struct OfOne {
    std::string_view name;
    double (*value)(double);
};
constexpr OfOne kOfOne[] = {
    {"", [](double a) { return -a; }},
    {"abs", [](double a) { return std::abs(a); }},
    {"sqrt", [](double a) { return std::sqrt(a); }},
    {"exp", [](double a) { return std::exp(a); }},
    {"ln", [](double a) { return std::log(a); }},
    {"log", [](double a) { return std::log10(a); }},
    {"log10", [](double a) { return std::log10(a); }},
    {"sin", [](double a) { return std::sin(a); }},
    {"cos", [](double a) { return std::cos(a); }},
    {"tan", [](double a) { return std::tan(a); }},
    {"asin", [](double a) { return std::asin(a); }},
    {"acos", [](double a) { return std::acos(a); }},
    {"atan", [](double a) { return std::atan(a); }},
    {"arcsin", [](double a) { return std::asin(a); }},
    {"arccos", [](double a) { return std::acos(a); }},
    {"arctan", [](double a) { return std::atan(a); }},
    {"sinh", [](double a) { return std::sinh(a); }},
    {"cosh", [](double a) { return std::cosh(a); }},
    {"tanh", [](double a) { return std::tanh(a); }},
    {"floor", [](double a) { return std::floor(a); }},
    {"ceil", [](double a) { return std::ceil(a); }},
};

// What a step does: give a number or an input, else a row of the tables above, those of two arguments first.
enum What : std::uint8_t { number, input, add, subtract, multiply, divide, power };
constexpr std::size_t kFirstOfTwo = add, kFirstOfOne = kFirstOfTwo + std::size(kOfTwo);
constexpr auto negate = static_cast<std::uint8_t>(kFirstOfOne);

bool is_digit(char c) { return c >= '0' && c <= '9'; }
char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }
bool is_letter(char c) { return (lower(c) >= 'a' && lower(c) <= 'z') || c == '_'; }
bool is_space(char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; }

/// Recursive descent that writes the steps of a stack machine; every recursion passes nested(), which bounds it.
class Parser {
public:
    explicit Parser(std::string_view text) : text_(text) {}

    std::optional<Error> run() {
        if (sum() && !at_end()) wrong("an operator or the end");
        return std::move(error_);
    }

    std::vector<Expression::Step> steps;
    std::size_t inputs = 0;

private:
    bool at_end() {
        while (at_ < text_.size() && is_space(text_[at_])) ++at_;
        return at_ == text_.size();
    }
    char next() { return at_end() ? '\0' : text_[at_]; }
    bool take(char wanted) {
        if (at_end() || text_[at_] != wanted) return false;
        ++at_;
        return true;
    }
    bool take_power() {
        if (next() == '*' && text_.substr(at_, 2) == "**") return at_ += 2, true;
        return take('^');
    }

    bool stop(std::string what) {
        error_ = Error{Fault::bad_input, std::move(what)};
        return false;
    }
    bool wrong(std::string_view expected) {
        if (at_end())
            return stop(fmt::format("expected {} at column {} of the formula, found its end", expected, at_ + 1));
        if (std::string_view("<>=!&|~?:").find(text_[at_]) != std::string_view::npos)
            return stop(
                fmt::format("expected {} at column {} of the formula, found '{}': comparisons, logic and bit "
                            "operators are not worked out here",
                            expected, at_ + 1, text_[at_]));
        return stop(fmt::format("expected {} at column {} of the formula, found {}", expected, at_ + 1, found()));
    }
    std::string found() const {
        return is_letter(text_[at_]) ? fmt::format("'{}'", word().substr(0, 24)) : character_text(text_[at_]);
    }
    std::string_view word() const {
        std::size_t end = at_;
        while (end < text_.size() && (is_letter(text_[end]) || is_digit(text_[end]))) ++end;
        return text_.substr(at_, end - at_);
    }

    bool emit(std::uint8_t what, double value = 0.0) {
        if (steps.size() == kMostSteps)
            return stop(
                fmt::format("expected at most {} steps in the formula, found more at column {}", kMostSteps, at_ + 1));
        steps.push_back({what, value});
        return true;
    }

    bool nested(bool (Parser::*part)()) {
        if (depth_ == kDeepest)
            return stop(fmt::format("expected at most {} levels of nesting in the formula, found more at column {}",
                                    kDeepest, at_ + 1));
        ++depth_;
        const bool good = (this->*part)();
        --depth_;
        return good;
    }

    bool sum() {
        if (!product()) return false;
        for (;;) {
            if (take('+')) {
                if (!product() || !emit(add)) return false;
            } else if (take('-')) {
                if (!product() || !emit(subtract)) return false;
            } else {
                return true;
            }
        }
    }

    bool product() {
        if (!sign()) return false;
        for (;;) {
            if (take('*')) {
                if (!sign() || !emit(multiply)) return false;
            } else if (take('/')) {
                if (!sign() || !emit(divide)) return false;
            } else {
                return true;
            }
        }
    }

    bool sign() {
        bool negative = false;
        while (next() == '+' || next() == '-') negative = (text_[at_++] == '-') != negative;
        return raised() && (!negative || emit(negate));
    }

    bool raised() {
        if (!primary()) return false;
        return !take_power() || (nested(&Parser::sign) && emit(power));
    }

    bool primary() {
        const char c = next();
        if (is_digit(c) || c == '.') return constant();
        if (is_letter(c)) return name();
        if (take('(')) return nested(&Parser::sum) && (take(')') || wrong("an operator or a closing bracket"));
        return wrong("a number, an input such as X1, a function or a bracket");
    }

    bool constant() {
        double value = 0.0;
        const auto [end, fault] = std::from_chars(text_.data() + at_, text_.data() + text_.size(), value);
        if (fault == std::errc::result_out_of_range)
            return stop(fmt::format("expected a number that a double can hold at column {} of the formula", at_ + 1));
        if (fault != std::errc()) return wrong("a number");
        at_ = static_cast<std::size_t>(end - text_.data());
        return emit(number, value);
    }

    bool name() {
        std::string called;
        for (const char c : word()) called += lower(c);
        if (called == "x" || (called[0] == 'x' && called.find_first_not_of("0123456789", 1) == std::string::npos))
            return named_input(std::string_view(called).substr(1));
        for (std::size_t i = 1; i < std::size(kOfOne); ++i)
            if (kOfOne[i].name == called) return call(called, kFirstOfOne + i, 1, 1);
        for (std::size_t i = 0; i < std::size(kOfTwo); ++i)
            if (kOfTwo[i].name == called) return call(called, kFirstOfTwo + i, 2, kOfTwo[i].most);
        return wrong("an input such as X1 or a function such as sqrt");
    }

    bool named_input(std::string_view digits) {
        std::size_t index = digits.empty() ? 1 : 0;
        for (const char c : digits) index = std::min(10 * index + static_cast<std::size_t>(c - '0'), kMostInputs + 1);
        if (index == 0 || index > kMostInputs) return wrong(fmt::format("an input from X1 to X{}", kMostInputs));
        at_ += digits.size() + 1;
        inputs = std::max(inputs, index);
        return emit(input, static_cast<double>(index - 1));
    }

    bool call(std::string_view called, std::size_t what, std::size_t least, std::size_t most) {
        at_ += called.size();
        if (!take('(')) return wrong(fmt::format("a bracket after {}", called));
        for (std::size_t arguments = 1; arguments <= most; ++arguments) {
            if (!nested(&Parser::sum)) return false;
            if (arguments >= least && !emit(static_cast<std::uint8_t>(what))) return false;
            if (arguments >= least && take(')')) return true;
            if (arguments < most && !take(','))
                return wrong(arguments < least ? "a comma" : "a comma or a closing bracket");
        }
        return wrong("an operator or a closing bracket");
    }

    std::string_view text_;
    std::size_t at_ = 0, depth_ = 0;
    std::optional<Error> error_;
};

}  // namespace

Result<Expression> Expression::parse(std::string_view text) {
    Parser parser(text);
    if (auto error = parser.run()) return tl::unexpected(*std::move(error));
    Expression made;
    made.steps_ = std::move(parser.steps);
    made.inputs_ = parser.inputs;
    return made;
}

double Expression::operator()(std::span<const double> x) const {
    assert(x.size() >= inputs_);
    std::array<double, kStack> stack;  // filled before it is read: parse() writes no other order
    std::size_t held = 0;
    for (const Step& step : steps_) {
        if (step.what == number) {
            stack[held++] = step.number;
        } else if (step.what == input) {
            stack[held++] = x[static_cast<std::size_t>(step.number)];
        } else if (step.what < kFirstOfOne) {
            --held;
            stack[held - 1] = kOfTwo[step.what - kFirstOfTwo].value(stack[held - 1], stack[held]);
        } else {
            stack[held - 1] = kOfOne[step.what - kFirstOfOne].value(stack[held - 1]);
        }
        assert(held >= 1 && held < kStack);
    }
    return stack[0];
}

}  // namespace revwright
