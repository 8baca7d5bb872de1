"""The run model in closed form. A car and a track come in.

The Prediction of one run goes out, or the outcomes of a hundred thousand.
"""

from unspool.model.batch import BatchPrediction, predict_cars, predict_windings
from unspool.model.codes import PredictionCode
from unspool.model.predict import predict, split_times

__all__ = [
    "BatchPrediction",
    "PredictionCode",
    "predict",
    "predict_cars",
    "predict_windings",
    "split_times",
]
