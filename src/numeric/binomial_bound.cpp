#include "numeric/binomial_bound.h"

#include <boost/math/special_functions/beta.hpp>
#include <cassert>

namespace revwright {
namespace {

// Bad arguments are our own bugs (the callers below rule them out), and no exception may cross a layer.
using NoThrow =
    boost::math::policies::policy<boost::math::policies::domain_error<boost::math::policies::ignore_error>,
                                  boost::math::policies::overflow_error<boost::math::policies::ignore_error>,
                                  boost::math::policies::evaluation_error<boost::math::policies::ignore_error>,
                                  boost::math::policies::promote_double<false>>;

}  // namespace

double rate_upper_bound(double events, double trials, double confidence) {
    assert(events >= 0.0 && trials >= 0.0 && confidence > 0.0 && confidence < 1.0);
    if (events >= trials) return 1.0;
    return boost::math::ibeta_inv(events + 1.0, trials - events, confidence, NoThrow{});
}

double rate_lower_bound(double events, double trials, double confidence) {
    assert(events >= 0.0 && trials >= 0.0 && confidence > 0.0 && confidence < 1.0);
    if (events <= 0.0 || trials <= 0.0) return 0.0;
    if (events > trials) return rate_lower_bound(trials, trials, confidence);
    return boost::math::ibeta_inv(events, trials - events + 1.0, 1.0 - confidence, NoThrow{});
}

}  // namespace revwright
