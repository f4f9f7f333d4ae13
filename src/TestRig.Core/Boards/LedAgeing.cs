using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>
/// How much faster an LED ages at one current and temperature than at another: AF = (I_acc / I_norm)^N exp((Ea / k)(1 / T_norm − 1 / T_acc)). Source: Avago, "Calculate
/// Reliable LED Lifetime Performance in Optocouplers" (AV02-4387EN), p. 12. Ea 0.43 eV is also in Agilent 5980-1750E.
/// </summary>
public static class LedAgeing
{
    /// <summary>The exponent of the current (digit inferred from the paper's result).</summary>
    public const double CurrentExponent = 2;

    /// <summary>Activation energy in electronvolts.</summary>
    public const double ActivationEnergy = 0.43;

    /// <summary>Boltzmann's constant in electronvolts a kelvin, rounded as the paper rounds it.</summary>
    public const double Boltzmann = 8.62e-5;

    /// <summary>Kelvins at 0 °C, rounded as the paper rounds it.</summary>
    public const double ZeroCelsius = 273;

    /// <summary>The paper's test: after it 99.2 % of the transfer ratio were left. Its LEDs are not those of 1980: an older one ages faster (common practice).</summary>
    public static LedTest PublishedTest { get; } = new(new(20e-3), 125, 1000, 0.992, "Avago AV02-4387EN p. 12");

    /// <param name="accelerated">Current of the test.</param>
    /// <param name="acceleratedCelsius">Temperature of the test, °C.</param>
    /// <param name="normal">Current in service, above 0.</param>
    /// <param name="normalCelsius">Temperature in service, °C.</param>
    public static double AccelerationFactor(Amperes accelerated, double acceleratedCelsius, Amperes normal, double normalCelsius) =>
        Math.Pow(accelerated.Value / normal.Value, CurrentExponent)
        * Math.Exp(ActivationEnergy / Boltzmann * ((1 / (ZeroCelsius + normalCelsius)) - (1 / (ZeroCelsius + acceleratedCelsius))));

    /// <summary>Hours in service, lit all the time, that age an LED as much as a test did.</summary>
    public static double HoursLike(LedTest test, Amperes current, double celsius) =>
        test.Hours * AccelerationFactor(test.Current, test.Celsius, current, celsius);
}
