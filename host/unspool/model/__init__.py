"""The run model in closed form. A car and a track come in.

The Prediction of one run goes out, or the outcomes of a hundred thousand.
"""

from unspool.model.batch import BatchPrediction, predict_cars, predict_windings
from unspool.model.predict import predict, split_times
from unspool.model.report import prediction_json

__all__ = [
    "BatchPrediction",
    "predict",
    "predict_cars",
    "predict_windings",
    "prediction_json",
    "split_times",
]
