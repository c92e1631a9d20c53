// Package property is the physics and chemistry of the liquid, one published method per
// function. It is the door for a reader who comes with a question:
//
//	question                                       function                                source
//	How dense is water?                            density.Water                           [tanaka2001]
//	… alcohol in water?                            density.EthanolWater                    [oiml-r22]
//	… sucrose in water?                            density.Sucrose                         [icumsa-sps4]
//	… glucose, fructose, invert sugar, glycerol?   density.Glucose, Fructose, Invert, …    [crc102-wolf]
//	… a must or a mead?                            density.Must                            ours, from these
//	How many % vol is that by mass?                density.PercentVol, MassFromPercentVol  [oiml-r22]
//	Gravity, Brix, Plato, Oechsle, Baumé?          density.SucroseFromGravity and others   [icumsa-sps4]
//	How many g/L of extract?                       density.Extract                         [icumsa-sps4]
//	What does a hydrometer show when it is warm?   density.HydrometerReading               [iso1768]
//	What was the gravity, then?                    density.CorrectHydrometer               [iso1768]
//	How strong is it, by its boiled residue?       density.StrengthByResidue               ours; [oiv-as2-03b]
//	How much CO2 does water hold?                  gas.InWater                             [carroll1991]
//	… a wine?                                      gas.Dissolved, Pressure, Saturated      [oiv-as314-01]
//	What pressure does a closed bottle come to?    gas.ClosedBottle.Gauge                  ours, from these
//	How much sugar may be left in it?              gas.ClosedBottle.HexoseFor              the same
//	How warm is a mixture?                         heat.Mix                                [textbook]
//	How much ice or water brings it to one?        heat.Ice, heat.Water                    [textbook], [ice]
//	How long until it is cool?                     heat.Vessel.TimeConstant, CoolingTime   [heat-transfer-assumed]
//	How much does fermentation warm it?            heat.Power, Vessel.Rise                 [colombie2007]
//	Will the glass bear it?                        heat.ThermalShock                       [gost53921]
//	What is the pH?                                acidity.PH                              [aqion] and others
//	How acid is it, as which acid?                 acidity.Titratable, Convert             [masses]
//	What acid is in a honey, or a must?            acidity.Honey, Composed                 [talanta1998], [aqion]
//	How acid is it, by titration?                  acidity.Titration                       [masses]
//	How much acid or carbonate to another pH?      acidity.AcidForPH, CationForPH          [aqion] and others
//	How does a must bend light?                    optics.Index                            ours, from [crc102-wolf]
//	What does a refractometer show of it?          optics.SucroseFromIndex                 [crc102-wolf]
//	… when the sample is warm or cold?             optics.CorrectBrix                      [oiv-as2-02]
//	How much water is in a honey?                  optics.HoneyWater                       [wedmore]
//	… when its refractometer shows Brix?           optics.SyrupIndex                       [crc102-wolf]
//	How much free SO2 protects?                    sulphite.Wine.FreeFor                   [oiv-as323-04c]
//	How much metabisulphite, sorbate?              sulphite.Metabisulphite, Sorbate        [masses], [underhill]
//	How much nitrogen does yeast need?             nutrient.Need                           [bisson2000]
//	How much salt gives it, and when?              nutrient.Salt.Dose, Portions            [masses]
//
// Keys in brackets are rows of internal/reference/sources.csv, which say how far each
// source was read. What lies outside a method's range is a *RangeError, never a guess.
package property
